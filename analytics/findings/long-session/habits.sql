-- How long a badge's own sessions on a machine usually are, for the few asked about.
-- $pairs JSON list of {machine, badge} · $as_of timestamptz.
-- Gives: machine, badge varchar, sessions integer, "usualSeconds" double (median of the certain lengths).
WITH pair AS MATERIALIZED (
  SELECT DISTINCT c.machine, c.badge
  FROM (SELECT unnest(from_json_strict($pairs, '[{"machine":"VARCHAR","badge":"VARCHAR"}]')) AS c)
)
SELECT
  s.machine,
  s.badge,
  count(*)::int AS sessions,
  median((epoch_us(s.end_low) - epoch_us(s.started_at)) / 1e6) AS "usualSeconds"
FROM session AS s
JOIN pair AS p ON p.machine = s.machine AND p.badge = s.badge
WHERE s.started_at <= $as_of::timestamptz
GROUP BY s.machine, s.badge;
