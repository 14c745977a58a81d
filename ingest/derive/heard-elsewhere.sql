-- Silences that ended a session while some other station was heard: its lines of an hour of the silence (of its first three
-- days) lie about or within it, or its signs of life do.
-- $as_of timestamptz. Reads boot_silence, whole_event, alive_stretch. Makes heard_elsewhere: station, boot_at.
CREATE OR REPLACE TEMP TABLE heard_elsewhere AS
WITH silence AS (
  SELECT station, boot_at, low_at, epoch_us(low_at) // 3600000000 AS first_hour, epoch_us(boot_at) // 3600000000 AS last_hour
  FROM boot_silence WHERE ended_session
), hour AS (
  SELECT station, boot_at, low_at, unnest(range(first_hour, least(last_hour, first_hour + 71) + 1)) AS hour FROM silence
), spoken AS (
  SELECT station, epoch_us(occurred_at) // 3600000000 AS hour, min(occurred_at) AS first_at, max(occurred_at) AS last_at
  FROM whole_event
  WHERE occurred_at <= $as_of::timestamptz AND occurred_at >= (SELECT min(low_at) - INTERVAL 1 HOUR FROM silence)
    AND epoch_us(occurred_at) // 3600000000 IN (SELECT hour FROM hour)
  GROUP BY ALL
)
SELECT hour.station, boot_at
FROM hour JOIN spoken ON spoken.hour = hour.hour AND spoken.station <> hour.station
  AND first_at < boot_at AND last_at > low_at
UNION
SELECT silence.station, boot_at
FROM silence JOIN alive_stretch ON alive_stretch.station <> silence.station AND first_at < boot_at AND last_at > low_at
WHERE first_at <= $as_of::timestamptz
