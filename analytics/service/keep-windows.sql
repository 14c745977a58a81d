-- Adds windows as they are issued.
-- $issued_at timestamptz · $issued_day date · $rest_of_day double, the share of that day still to come · $first integer, the first
-- number · $rows JSON list of {machine, part, task, basis, used, interval, begun, early, median, late}.
INSERT INTO due_window
  (window_id, issued_at, issued_day, rest_of_day, machine, part, task, basis, used, limit_used, begun_at, early_day, median_day, late_day)
SELECT
  $first::bigint + place - 1,
  $issued_at::timestamptz,
  $issued_day::date,
  $rest_of_day::double,
  r->>'machine',
  r->>'part',
  r->>'task',
  r->>'basis',
  (r->>'used')::double,
  (r->>'interval')::double,
  (r->>'begun')::timestamptz,
  (r->>'early')::date,
  (r->>'median')::date,
  (r->>'late')::date
FROM (SELECT unnest($rows::json[]) AS r, generate_subscripts($rows::json[], 1) AS place);
