-- Makes the temporary table service_point: the instants from which use is wanted, each with the local days since, and where whole
-- local days begin after it.
-- $points varchar, JSON list of {"point","machine","from"} · $as_of, $log_from timestamptz · $zone IANA name.
-- Gives the table: point integer, machine varchar, from_at timestamptz (not before the log), days integer (from its local day, also
-- one before the log, to that of the as-of time), next_day timestamp (label of the first whole local day), next_at timestamptz.
CREATE OR REPLACE TEMP TABLE service_point AS
WITH asked AS (
  SELECT
    (p->>'point')::integer AS point,
    p->>'machine' AS machine,
    (p->>'from')::timestamptz AS typed_at,
    greatest((p->>'from')::timestamptz, $log_from::timestamptz) AS from_at
  FROM (SELECT unnest($points::json[]) AS p)
),
labelled AS (
  SELECT *, date_trunc('day', timezone($zone, from_at - INTERVAL 1 MICROSECOND)) + INTERVAL 1 DAY AS next_day FROM asked
)
SELECT
  point,
  machine,
  from_at,
  date_diff('day', timezone($zone, typed_at)::date, timezone($zone, $as_of::timestamptz)::date)::integer AS days,
  next_day,
  -- Where midnight comes twice timezone() gives the later one; the day begins with the earlier.
  CASE
    WHEN timezone($zone, timezone($zone, next_day) - INTERVAL 1 HOUR) >= next_day THEN timezone($zone, next_day) - INTERVAL 1 HOUR
    WHEN timezone($zone, timezone($zone, next_day) - INTERVAL 30 MINUTE) >= next_day THEN timezone($zone, next_day) - INTERVAL 30 MINUTE
    ELSE timezone($zone, next_day)
  END AS next_at
FROM labelled;
