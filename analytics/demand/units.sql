-- The units of every group in the order of the workshop file, with the stretches in which each is not there or out of order.
-- $from timestamptz: the instant that hours are counted from · $until timestamptz.
-- Gives: "group", machine, name, room varchar, away varchar (JSON list of [from, until] in hours, overlapping ones joined, an open side
-- null).
WITH unit AS (
  SELECT
    ordinal,
    machine,
    name,
    room,
    group_id,
    coalesce(from_at, '-infinity'::timestamptz) AS from_at,
    coalesce(until_at, 'infinity'::timestamptz) AS until_at
  FROM machine
  WHERE kind = 'stations'
),
stretch AS (
  SELECT machine, '-infinity'::timestamptz AS from_at, from_at AS until_at FROM unit WHERE from_at > $from::timestamptz
  UNION ALL
  SELECT machine, until_at, 'infinity'::timestamptz FROM unit WHERE until_at < $until::timestamptz
  UNION ALL
  SELECT o.machine, o.from_at, o.until_at
  FROM machine_outage o
  JOIN unit u ON u.machine = o.machine
  WHERE o.from_at < o.until_at AND o.until_at > $from::timestamptz AND o.from_at < $until::timestamptz
),
joined AS (
  SELECT machine, min(from_at) AS from_at, max(until_at) AS until_at
  FROM (
    SELECT *, sum(is_new) OVER (PARTITION BY machine ORDER BY from_at, until_at ROWS UNBOUNDED PRECEDING) AS run
    FROM (
      SELECT *, CASE WHEN from_at <= max(until_at) OVER before THEN 0 ELSE 1 END AS is_new
      FROM stretch
      WINDOW before AS (PARTITION BY machine ORDER BY from_at, until_at ROWS BETWEEN UNBOUNDED PRECEDING AND 1 PRECEDING)
    )
  )
  GROUP BY machine, run
),
hours AS (
  SELECT
    machine,
    from_at,
    CASE WHEN isfinite(from_at) THEN (epoch_us(from_at) - epoch_us($from::timestamptz))::double / 3.6e9 END AS from_hour,
    CASE WHEN isfinite(until_at) THEN (epoch_us(until_at) - epoch_us($from::timestamptz))::double / 3.6e9 END AS until_hour
  FROM joined
)
SELECT
  u.group_id AS "group",
  u.machine,
  u.name,
  u.room,
  coalesce((SELECT to_json(list([h.from_hour, h.until_hour] ORDER BY h.from_at)) FROM hours h WHERE h.machine = u.machine), '[]')::varchar
    AS away
FROM unit u
WHERE u.from_at < $until::timestamptz AND u.until_at > $from::timestamptz
ORDER BY min(u.ordinal) OVER (PARTITION BY u.group_id), u.group_id, u.ordinal;
