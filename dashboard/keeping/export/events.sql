-- The events of one local year, as they stand in the store.
-- $zone IANA name · $year integer.
SELECT
  e.occurred_at AS "time",
  timezone($zone, e.occurred_at) AS local_time,
  e.station,
  e.kind AS event,
  e.badge,
  e.sequence,
  e.detail,
  e.early_at,
  e.late_at,
  e.repair,
  r.file,
  e.line
FROM event AS e
JOIN reading AS r USING (reading_id)
WHERE year(timezone($zone, e.occurred_at)) = $year
ORDER BY e.occurred_at, e.station, e.sequence, e.line
