-- The first rows of a sample as they were read.
-- $shown integer: how many · $zone IANA name.
-- Gives: line double, time, finish timestamptz, local varchar (the time by the zone's clock), station, event, badge, detail varchar.
SELECT
  line, time, finish, strftime(timezone($zone, time), '%Y-%m-%d %H:%M:%S') AS local, station, event, badge, detail
FROM (
  SELECT line::DOUBLE AS line, occurred_at AS time, NULL::TIMESTAMPTZ AS finish, station, kind AS event, badge, detail FROM event
  UNION ALL
  SELECT line::DOUBLE, started_at, finished_at, station, NULL, badge, detail FROM stretch
)
ORDER BY line LIMIT $shown;
