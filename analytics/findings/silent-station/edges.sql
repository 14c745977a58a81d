-- When a machine was last heard before a silence and first heard after it.
-- $zone IANA name · $as_of timestamptz · $silences JSON list of {machine, station, fromBlock, untilBlock}.
-- Gives: station varchar, "fromBlock" integer, "lastHeard", "nextHeard" timestamptz (null where nothing was heard since).
WITH silent AS MATERIALIZED (
  SELECT
    s.machine,
    s.station,
    s."fromBlock",
    timezone($zone, make_timestamp(s."fromBlock" * 21600000000)) AS from_at,
    timezone($zone, make_timestamp((s."untilBlock" + 1) * 21600000000)) AS until_at
  FROM (
    SELECT unnest(from_json_strict(
      $silences, '[{"machine":"VARCHAR","station":"VARCHAR","fromBlock":"BIGINT","untilBlock":"BIGINT"}]'
    )) AS s
  )
), around AS MATERIALIZED (
  SELECT s.station AS silent_station, s."fromBlock", s.from_at, s.until_at, o.station
  FROM silent AS s
  JOIN (SELECT DISTINCT machine, station FROM machine_station) AS o ON o.machine = s.machine
), sign AS (
  SELECT a.silent_station, a."fromBlock", e.occurred_at, e.occurred_at < a.from_at AS is_before
  FROM around AS a
  JOIN event AS e ON e.station = a.station
  WHERE (e.occurred_at >= a.from_at - INTERVAL 8 HOUR AND e.occurred_at < a.from_at)
    OR (e.occurred_at >= a.until_at AND e.occurred_at < a.until_at + INTERVAL 8 HOUR AND e.occurred_at <= $as_of::timestamptz)
  UNION ALL
  SELECT
    a.silent_station,
    a."fromBlock",
    h.hour_at + to_seconds(CASE WHEN h.hour_at < a.from_at THEN h.last_second ELSE h.first_second END),
    h.hour_at < a.from_at
  FROM around AS a
  JOIN alive_hour AS h ON h.station = a.station
  WHERE (h.hour_at >= a.from_at - INTERVAL 8 HOUR AND h.hour_at < a.from_at)
    OR (h.hour_at >= a.until_at AND h.hour_at < a.until_at + INTERVAL 8 HOUR AND h.hour_at <= $as_of::timestamptz)
)
SELECT
  s.station,
  s."fromBlock"::int AS "fromBlock",
  coalesce(max(g.occurred_at) FILTER (g.is_before), any_value(s.from_at)) AS "lastHeard",
  min(g.occurred_at) FILTER (NOT g.is_before) AS "nextHeard"
FROM silent AS s
LEFT JOIN sign AS g ON g.silent_station = s.station AND g."fromBlock" = s."fromBlock"
GROUP BY s.station, s."fromBlock";
