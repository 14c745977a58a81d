-- The offsets of a zone from UTC from 1970 to 2199 as DuckDB knows them: days on which the offset changes, then their quarter hours.
-- $zone IANA name.
-- Fills zone_offset.
INSERT INTO zone_offset
WITH days AS (
  SELECT utc, date_diff('second', utc, timezone($zone, timezone('UTC', utc)))::INTEGER AS offset_seconds
  FROM generate_series(TIMESTAMP '1969-12-30', TIMESTAMP '2200-01-02', INTERVAL 1 DAY) AS series(utc)
), changed AS (
  SELECT utc - INTERVAL 1 DAY AS day
  FROM days
  QUALIFY offset_seconds <> lag(offset_seconds) OVER (ORDER BY utc)
), quarters AS (
  SELECT utc, date_diff('second', utc, timezone($zone, timezone('UTC', utc)))::INTEGER AS offset_seconds
  FROM (
    SELECT TIMESTAMP '1969-12-30' AS utc
    UNION
    SELECT unnest(generate_series(day, day + INTERVAL 1 DAY, INTERVAL 15 MINUTE)) FROM changed
  )
), changes AS (
  SELECT utc, offset_seconds FROM quarters
  QUALIFY offset_seconds IS DISTINCT FROM lag(offset_seconds) OVER (ORDER BY utc)
)
SELECT $zone, utc, lead(utc, 1, TIMESTAMP '2200-01-03') OVER (ORDER BY utc), offset_seconds FROM changes;
