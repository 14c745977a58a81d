// Every leaf, at an address of the fixture's workshop.
const lives = encodeURIComponent("54 failed\n187 failed\n216 good\n240 failed\n244 good\n335 failed\n361 failed\n373 good");

export const leafAddresses: Record<string, string> = {
  today: "/",
  "today-compared": "/?period=month&on=2026-09-15&compare=before",
  machines: "/machines",
  machine: "/machines/table-saw-1",
  "machine-absent": "/machines/none",
  service: "/service",
  "service-machine": "/service/planer",
  "service-sheet": "/service/planer/sheet",
  spares: "/spares",
  codes: "/codes",
  demand: "/demand",
  safety: "/safety",
  "demand-what-if": "/demand?if=mill&add=2&patience=30&members=20",
  "demand-brief": "/demand/brief",
  "demand-year": "/demand/year",
  log: "/log",
  setup: "/setup",
  "setup-machine": "/setup/planer",
  rounds: "/rounds",
  kept: "/kept",
  bench: "/sums",
  "bench-worked": `/sums?lives=${lives}&c=19.5&p=2.4&rpm=2850&kind=ball`,
};
