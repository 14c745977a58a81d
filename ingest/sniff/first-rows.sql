-- The first three rows of a sample as they were read.
-- Gives: line double, time, finish timestamptz, station, event, badge, detail varchar.
SELECT line::DOUBLE AS line, occurred_at AS time, NULL::TIMESTAMPTZ AS finish, station, kind AS event, badge, detail FROM event
UNION ALL
SELECT line::DOUBLE, started_at, finished_at, station, NULL, badge, detail FROM stretch
ORDER BY line LIMIT 3;
