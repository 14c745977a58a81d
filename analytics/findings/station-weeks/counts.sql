-- Sessions of each station and local week (from Monday), how many of them had no end that was seen, and in how many the contact
-- bounced. Ends that one cause took at several stations at once (a power cut, the server down) count neither way.
-- $zone IANA name · $history timestamptz, null = from the log's beginning · $as_of timestamptz.
-- Gives: machine, station varchar, week integer (weeks since Monday 5 January 1970), "from", "until" timestamptz (until excluded),
-- sessions, "missingEnds", bounced, bounces integer (closings beyond the first), "isOver" boolean.
WITH edge AS (
  SELECT
    epoch_us(date_trunc('week', timezone($zone, min(started_at))) - INTERVAL 1 DAY - TIMESTAMP '1970-01-04') // 604800000000 AS first_week,
    epoch_us(date_trunc('week', timezone($zone, max(started_at))) - TIMESTAMP '1970-01-05') // 604800000000 AS last_week
  FROM session
  WHERE started_at <= $as_of::timestamptz AND ($history::timestamptz IS NULL OR started_at >= $history::timestamptz)
), bound AS MATERIALIZED (
  SELECT
    first_week,
    list_transform(
      range(first_week, last_week + 3),
      lambda week: epoch_us(timezone($zone, TIMESTAMP '1970-01-05' + to_days((7 * week)::integer)))
    ) AS starts
  FROM edge
), told AS (
  -- Weeks without an offset first; the change of clocks moves a boundary by an hour, which the list of boundaries puts right.
  SELECT
    s.machine,
    s.station,
    s.ended,
    s.starts,
    s.cause_id,
    epoch_us(s.started_at) AS at_us,
    (epoch_us(s.started_at) - b.starts[1]) // 604800000000 AS guess
  FROM session AS s
  CROSS JOIN bound AS b
  WHERE s.started_at <= $as_of::timestamptz AND ($history::timestamptz IS NULL OR s.started_at >= $history::timestamptz)
), placed AS (
  SELECT
    t.machine,
    t.station,
    t.guess + (t.at_us >= b.starts[t.guess + 2])::int - (t.at_us < b.starts[t.guess + 1])::int AS place,
    t.ended,
    t.starts,
    t.cause_id
  FROM told AS t
  CROSS JOIN bound AS b
), shared_cause AS (
  SELECT cause_id FROM cause WHERE len(from_json_strict(stations, '["VARCHAR"]')) > 1
)
SELECT
  p.machine,
  p.station,
  (b.first_week + p.place)::int AS week,
  make_timestamptz(any_value(b.starts[p.place + 1])) AS "from",
  make_timestamptz(any_value(b.starts[p.place + 2])) AS "until",
  count_if(c.cause_id IS NULL)::int AS sessions,
  count_if(p.ended IN ('superseded', 'lost') AND c.cause_id IS NULL)::int AS "missingEnds",
  count_if(p.starts > 1)::int AS bounced,
  sum(p.starts - 1)::int AS bounces,
  any_value(b.starts[p.place + 2]) <= epoch_us($as_of::timestamptz) AS "isOver"
FROM placed AS p
CROSS JOIN bound AS b
LEFT JOIN shared_cause AS c ON c.cause_id = p.cause_id
GROUP BY p.machine, p.station, b.first_week, p.place
ORDER BY week, p.station, p.machine;
