-- The local years in which anything begins.
-- $zone IANA name.
-- Gives: year int.
SELECT DISTINCT year(timezone($zone, begun_at))::int AS year
FROM (
  SELECT occurred_at AS begun_at FROM event
  UNION ALL
  SELECT started_at FROM stretch
  UNION ALL
  SELECT first_at FROM alive_stretch
)
ORDER BY year
