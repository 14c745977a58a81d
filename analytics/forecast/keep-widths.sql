-- Adds how wide windows should have been, as of a local day.
-- $day date · $rows JSON list of {machine, daysAhead, windows, factor}.
INSERT INTO forecast_width
SELECT $day::date, r->>'machine', (r->>'daysAhead')::integer, (r->>'windows')::integer, (r->>'factor')::double
FROM (SELECT unnest($rows::json[]) AS r);
