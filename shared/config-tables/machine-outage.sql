-- Writes all outages: the workshop file's and those typed at the bench; without an end they last.
INSERT INTO machine_outage
SELECT machine, from_at, until_at, reason FROM workshop_outage
UNION ALL
SELECT machine, from_at, coalesce(until_at, 'infinity'::TIMESTAMPTZ), reason FROM bench_outage
WHERE until_at IS NULL OR until_at > from_at
