import { dirname, resolve } from "node:path";
import { fileURLToPath } from "node:url";
import { z } from "zod";
import { UsageError } from "../../shared/errors.ts";
import { plainCommand } from "./command.ts";
import { serving } from "./serve.ts";

/** In a unit, a percent sign begins a specifier, a dollar a variable, and quotes hold spaces together. */
const quoted = (word: string): string =>
  `"${word.replaceAll("\\", "\\\\").replaceAll('"', '\\"').replaceAll("%", "%%").replaceAll("$", "$$$$")}"`;

const path = (word: string): string => word.replaceAll("%", "%%").replaceAll(" ", "\\x20");

export const unit = plainCommand({
  name: "unit",
  summary: "a service unit for systemd: serve from the start of the computer on, and again after a power cut",
  examples: ["almanac unit --user almanac | sudo tee /etc/systemd/system/almanac.service"],
  options: z.object({
    ...serving,
    user: z.string().default("almanac").describe("the system's user that it runs as").meta({ placeholder: "NAME" }),
    cert: z.string().optional().describe("certificate in PEM, to speak TLS").meta({ placeholder: "FILE" }),
    key: z.string().optional().describe("its key in PEM").meta({ placeholder: "FILE" }),
  }),
  needs: "nothing",
  need: "do-setup",
  async run({ cwd }, { port, host, user, cert, key, workshop, store }) {
    if (!/^[a-z_][a-z0-9_-]*$/.test(user))
      throw new UsageError({ field: "user", value: user, expected: "a user of this system" });
    const at = (file: string) => resolve(cwd, file);
    const words = ["serve", "--workshop", at(workshop), "--store", at(store), "--port", String(port), "--host", host];
    if (cert !== undefined) words.push("--cert", at(cert));
    if (key !== undefined) words.push("--key", at(key));
    const program = fileURLToPath(new URL("../cli.js", import.meta.url));
    const folders = [...new Set([dirname(at(store)), dirname(at(workshop))])];
    const text = `[Unit]
Description=Workshop Almanac
After=network.target

[Service]
ExecStart=${[process.execPath, program, ...words].map(quoted).join(" ")}
WorkingDirectory=${path(dirname(at(workshop)))}
User=${user}
Restart=always
RestartSec=5
TimeoutStopSec=150
UMask=0077
NoNewPrivileges=yes
ProtectSystem=strict
ProtectHome=read-only
ReadWritePaths=${folders.map(path).join(" ")} /tmp

[Install]
WantedBy=multi-user.target
`;
    return { head: { unit: text }, text };
  },
});
