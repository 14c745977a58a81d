-- Rows of logs of sessions that began in one local year, as they stand in the store.
-- $zone IANA name · $year integer.
SELECT
  s.started_at AS start,
  s.finished_at AS finish,
  timezone($zone, s.started_at) AS local_start,
  s.station,
  s.badge,
  s.sequence,
  s.detail,
  s.repair,
  r.file,
  s.line
FROM stretch AS s
JOIN reading AS r USING (reading_id)
WHERE year(timezone($zone, s.started_at)) = $year
ORDER BY s.started_at, s.station, s.line
