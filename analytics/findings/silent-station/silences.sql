-- Stretches in which a machine's station was not heard though it usually is, in blocks of six local hours. A block counts by how often
-- the station is heard in that block of the week; outages, blocks in which hardly any station was heard, and what the station is not
-- there for count nothing. A machine that was re-addressed is heard by any of its stations, also before the file's date. In blocks that are closed against the week's habit it is expected as in other closed ones.
-- $zone IANA name · $since, $until timestamptz, null = no bound, until excluded · $as_of timestamptz · $history_days double: how long
-- before $since the habit is learned · $least double: the least weight to tell.
-- Gives: machine, "machineName", station varchar, "fromBlock", "untilBlock" integer (first and last silent block; blocks of six
-- hours since 1970 on the local clock), "isOver" boolean (heard again), weight double (−ln of the chance of such a silence), blocks integer (that count something),
-- "heardBlocks" integer (of all stations together: how many silences could have begun).
WITH hours AS MATERIALIZED (
  SELECT station, epoch_us(occurred_at) // 3600000000 AS hour
  FROM event
  WHERE occurred_at <= $as_of::timestamptz
    AND ($since::timestamptz IS NULL OR occurred_at >= $since::timestamptz - to_seconds(86400 * $history_days::double))
  GROUP BY ALL
  UNION
  SELECT station, epoch_us(hour_at) // 3600000000
  FROM alive_hour
  WHERE hour_at <= $as_of::timestamptz
    AND ($since::timestamptz IS NULL OR hour_at >= $since::timestamptz - to_seconds(86400 * $history_days::double))
  UNION
  SELECT station, epoch_us(occurred_at) // 3600000000
  FROM alive_odd
  WHERE occurred_at <= $as_of::timestamptz
    AND ($since::timestamptz IS NULL OR occurred_at >= $since::timestamptz - to_seconds(86400 * $history_days::double))
), local_block AS MATERIALIZED (
  -- Once an hour, not once a row: the local clock is dear.
  SELECT hour, (epoch_us(timezone($zone, make_timestamptz((hour * 3600000000)::bigint))) // 21600000000)::int AS block
  FROM (SELECT DISTINCT hour FROM hours)
), heard AS MATERIALIZED (
  SELECT DISTINCT o.machine, b.block
  FROM hours AS h
  JOIN local_block AS b ON b.hour = h.hour
  JOIN (SELECT DISTINCT machine, station FROM machine_station) AS o ON o.station = h.station
), edge AS (
  SELECT
    min(block) AS first_block,
    epoch_us(timezone($zone, $as_of::timestamptz)) // 21600000000 - 1 AS last_block,
    (epoch_us(timezone($zone, $until::timestamptz)) // 21600000000) AS until_block,
    (epoch_us(timezone($zone, $since::timestamptz)) // 21600000000) AS since_block
  FROM heard
), first_heard AS (
  SELECT machine, min(block) AS block FROM heard GROUP BY machine
), spans AS (
  SELECT
    s.machine,
    s.station,
    greatest(
      f.block,
      CASE WHEN isfinite(s.from_at) THEN epoch_us(timezone($zone, s.from_at)) // 21600000000 + 1 ELSE f.block END,
      CASE WHEN m.from_at IS NOT NULL THEN epoch_us(timezone($zone, m.from_at)) // 21600000000 + 1 ELSE f.block END
    )::int AS first_block,
    least(
      e.last_block,
      CASE WHEN isfinite(s.until_at) THEN epoch_us(timezone($zone, s.until_at)) // 21600000000 - 1 ELSE e.last_block END,
      CASE WHEN m.until_at IS NOT NULL THEN epoch_us(timezone($zone, m.until_at)) // 21600000000 - 1 ELSE e.last_block END
    )::int AS last_block
  FROM machine_station AS s
  JOIN machine AS m ON m.machine = s.machine
  JOIN first_heard AS f ON f.machine = s.machine
  CROSS JOIN edge AS e
  WHERE s.from_at <= $as_of::timestamptz
), open_block AS (
  SELECT DISTINCT unnest(range(
    (epoch_us(timezone($zone, from_at)) // 21600000000)::bigint,
    (epoch_us(timezone($zone, until_at)) - 1) // 21600000000 + 1
  ))::int AS block
  FROM opening
  WHERE from_at <= $as_of::timestamptz
), down AS (
  SELECT DISTINCT machine, unnest(range(
    (epoch_us(timezone($zone, from_at)) // 21600000000)::bigint,
    (epoch_us(timezone($zone, least(until_at, $as_of::timestamptz))) // 21600000000)::bigint + 1
  ))::int AS block
  FROM machine_outage
  WHERE from_at < $as_of::timestamptz
), block_of AS MATERIALIZED (
  SELECT
    g.machine,
    g.station,
    g.block,
    g.block % 28 AS slot,
    o.block IS NOT NULL AS is_open,
    h.block IS NOT NULL AS is_heard,
    d.block IS NOT NULL AS is_down
  FROM (SELECT machine, station, unnest(range(first_block, last_block + 1))::int AS block FROM spans WHERE last_block >= first_block) AS g
  LEFT JOIN heard AS h ON h.machine = g.machine AND h.block = g.block
  LEFT JOIN open_block AS o ON o.block = g.block
  LEFT JOIN down AS d ON d.machine = g.machine AND d.block = g.block
), by_state AS (
  SELECT station, is_open, (count_if(is_heard) + 0.5) / (count(*) + 1) AS share
  FROM block_of
  WHERE NOT is_down
  GROUP BY station, is_open
), by_slot AS (
  SELECT station, slot, is_open, (count_if(is_heard) + 0.5) / (count(*) + 1) AS share, count(*) AS blocks
  FROM block_of
  WHERE NOT is_down
  GROUP BY station, slot, is_open
), expected AS MATERIALIZED (
  SELECT b.*, CASE WHEN b.is_down THEN 0 WHEN s.blocks >= 6 THEN s.share ELSE coalesce(t.share, 0) END AS share
  FROM block_of AS b
  LEFT JOIN by_slot AS s ON s.station = b.station AND s.slot = b.slot AND s.is_open = b.is_open
  LEFT JOIN by_state AS t ON t.station = b.station AND t.is_open = b.is_open
), quiet AS (
  SELECT block FROM expected GROUP BY block HAVING count_if(is_heard) <= 0.34 * sum(share)
), weighed AS (
  SELECT
    e.machine,
    e.station,
    e.block,
    e.is_heard,
    CASE WHEN q.block IS NOT NULL THEN 0 ELSE -ln(1 - least(e.share, 0.995)) END AS weight,
    sum(e.is_heard::int) OVER (PARTITION BY e.machine, e.station ORDER BY e.block) AS silence
  FROM expected AS e
  LEFT JOIN quiet AS q ON q.block = e.block
), silent AS (
  SELECT
    machine,
    station,
    min(block)::int AS first_block,
    max(block)::int AS last_block,
    sum(weight) AS weight,
    count_if(weight > 0.1)::int AS blocks
  FROM weighed
  WHERE NOT is_heard
  GROUP BY machine, station, silence
)
SELECT
  s.machine,
  m.name AS "machineName",
  s.station,
  s.first_block AS "fromBlock",
  s.last_block AS "untilBlock",
  s.last_block < p.last_block AS "isOver",
  s.weight,
  s.blocks,
  (SELECT count_if(is_heard) FROM block_of)::int AS "heardBlocks"
FROM silent AS s
JOIN machine AS m ON m.machine = s.machine
JOIN spans AS p ON p.machine = s.machine AND p.station = s.station AND s.first_block BETWEEN p.first_block AND p.last_block
CROSS JOIN edge AS e
WHERE s.weight >= $least::double
  AND (e.until_block IS NULL OR s.first_block <= e.until_block)
  AND (e.since_block IS NULL OR s.last_block >= e.since_block - 1)
ORDER BY s.first_block, s.station;
