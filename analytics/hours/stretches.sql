-- Makes the temporary table hours_stretch: everything that makes a machine's hours within the windows. Sessions; of driven
-- machines the union of their drivers' sessions, each with the run-on; of machines that are always on the time between their
-- first and last day without outages; motor stretches; what a driver sends the driven machine.
-- An unseen end is a stretch with a draw for each joint world. Of a union the seen part stands as it is, and each gap of it gets
-- the furthest that an unseen end reaches into it, world by world: together they are the union in every world.
-- $windows varchar, JSON list of {"from","until"} · $machine varchar, null = all · $as_of timestamptz · $log_from timestamptz,
-- where machines that are always on begin unless their first day is given.
-- Gives the table: machine varchar, measure varchar (enabled, motor, factored, load), weight double, from_at, until_at timestamptz
-- (clipped; of a drawn stretch the furthest), base_at timestamptz, draws double[] (seconds after base_at; null = known),
-- sessions, starts integer (where it begins within the window).
CREATE OR REPLACE TEMP TABLE hours_stretch AS
WITH RECURSIVE span AS (
  SELECT (w->>'from')::timestamptz AS from_at, (w->>'until')::timestamptz AS until_at
  FROM (SELECT unnest($windows::json[]) AS w)
),
-- Drivers, and drivers of drivers: the run-ons add up on the way.
feed AS (
  SELECT d.machine, d.driver, m.run_on_seconds AS run_on, 1 AS depth
  FROM machine_driver d
  JOIN machine m ON m.machine = d.machine
  UNION
  SELECT f.machine, d.driver, f.run_on + m.run_on_seconds, f.depth + 1
  FROM feed f
  JOIN machine_driver d ON d.machine = f.driver
  JOIN machine m ON m.machine = d.machine
  WHERE f.depth < 50
),
leaf AS (
  SELECT machine, driver, max(run_on) AS run_on
  FROM feed
  WHERE driver NOT IN (SELECT machine FROM machine_driver)
  GROUP BY machine, driver
),
-- Which unions are wanted: of the machine itself, and of a driven driver for its load, which its run-on does not carry.
union_of AS (
  SELECT machine, 'enabled' AS measure, 1.0 AS weight, '' AS source, driver, run_on
  FROM leaf
  WHERE $machine::varchar IS NULL OR machine = $machine::varchar
  UNION ALL
  SELECT d.machine, 'load', d.load, d.driver, l.driver, 0
  FROM machine_driver d
  JOIN leaf l ON l.machine = d.driver
  WHERE $machine::varchar IS NULL OR d.machine = $machine::varchar
),
wanted AS (
  SELECT driver AS machine FROM union_of
  UNION
  SELECT driver FROM machine_driver WHERE machine = $machine::varchar
  UNION
  SELECT $machine::varchar WHERE $machine::varchar IS NOT NULL
),
longest AS (
  SELECT to_microseconds((coalesce(max(run_on), 0) * 1e6)::bigint) AS run_on FROM leaf
),
known AS (
  SELECT
    s.machine,
    s.started_at,
    coalesce(s.ended_at, s.end_best) AS end_best,
    s.end_draws,
    s.starts,
    s.started_at + to_microseconds((list_max(s.end_draws) * 1e6)::bigint) AS end_last,
    s.started_at + to_microseconds((list_min(s.end_draws) * 1e6)::bigint) AS end_first,
    w.from_at AS window_from,
    w.until_at AS window_until
  FROM session s
  CROSS JOIN longest
  JOIN span w ON s.started_at < w.until_at AND (s.started_at >= w.from_at OR s.end_high > w.from_at - longest.run_on)
  WHERE $machine::varchar IS NULL OR s.machine IN (SELECT machine FROM wanted)
),
own AS (
  SELECT k.*, m.kind FROM known k LEFT JOIN machine m ON m.machine = k.machine WHERE $machine::varchar IS NULL OR k.machine = $machine::varchar
),
fed AS (
  SELECT
    u.machine,
    u.measure,
    u.source,
    u.weight,
    u.run_on,
    k.started_at,
    k.end_draws,
    k.window_from,
    k.window_until,
    coalesce(k.end_first, k.end_best) + to_microseconds((u.run_on * 1e6)::bigint) AS sure_until,
    k.end_best + to_microseconds((u.run_on * 1e6)::bigint) AS best_until,
    coalesce(k.end_last, k.end_best) + to_microseconds((u.run_on * 1e6)::bigint) AS last_until
  FROM union_of u
  JOIN known k ON k.machine = u.driver
),
fed_line AS (
  SELECT
    *,
    max(sure_until) OVER before AS sure_before,
    max(best_until) OVER before AS best_before
  FROM fed
  WINDOW before AS (
    PARTITION BY machine, measure, source, window_from
    ORDER BY started_at, sure_until
    ROWS BETWEEN UNBOUNDED PRECEDING AND 1 PRECEDING
  )
),
fed_run AS (
  SELECT
    *,
    sum((sure_before IS NULL OR started_at > sure_before)::int) OVER (
      PARTITION BY machine, measure, source, window_from
      ORDER BY started_at, sure_until
      ROWS UNBOUNDED PRECEDING
    ) AS run
  FROM fed_line
),
island AS (
  SELECT
    machine,
    measure,
    source,
    weight,
    window_from,
    window_until,
    run,
    min(started_at) AS from_at,
    max(sure_until) AS until_at,
    bool_or(best_before IS NULL OR started_at > best_before) AS is_start,
    lead(min(started_at), 1, 'infinity'::timestamptz) OVER (PARTITION BY machine, measure, source, window_from ORDER BY min(started_at)) AS next_from
  FROM fed_run
  GROUP BY machine, measure, source, weight, window_from, window_until, run
),
reach AS (
  SELECT
    i.machine,
    i.measure,
    i.weight,
    i.window_from,
    i.window_until,
    i.until_at,
    i.next_from,
    world,
    max(least(
      epoch_us(t.started_at - i.until_at) / 1e6 + t.end_draws[world] + t.run_on,
      CASE WHEN isfinite(i.next_from) THEN epoch_us(i.next_from - i.until_at) / 1e6 ELSE 'infinity'::double END
    )) AS seconds
  FROM island i
  JOIN (SELECT *, unnest(range(1, len(end_draws) + 1)) AS world FROM fed WHERE end_draws IS NOT NULL) t
    ON t.machine = i.machine AND t.measure = i.measure AND t.source = i.source AND t.window_from = i.window_from
    AND t.started_at <= i.until_at AND t.last_until > i.until_at
  GROUP BY i.machine, i.measure, i.source, i.weight, i.window_from, i.window_until, i.until_at, i.next_from, world
),
-- Outages of machines that are always on, overlapping ones joined.
away AS (
  SELECT machine, min(from_at) AS from_at, max(until_at) AS until_at
  FROM (
    SELECT *, sum(is_new) OVER (PARTITION BY machine ORDER BY from_at, until_at ROWS UNBOUNDED PRECEDING) AS run
    FROM (
      SELECT
        o.*,
        CASE WHEN o.from_at <= max(o.until_at) OVER before THEN 0 ELSE 1 END AS is_new
      FROM machine_outage o
      JOIN machine m ON m.machine = o.machine AND m.kind = 'always-on'
      WHERE o.from_at < o.until_at
      WINDOW before AS (PARTITION BY o.machine ORDER BY o.from_at, o.until_at ROWS BETWEEN UNBOUNDED PRECEDING AND 1 PRECEDING)
    )
  )
  GROUP BY machine, run
),
always AS (
  SELECT
    m.machine,
    greatest(coalesce(m.from_at, $log_from::timestamptz), w.from_at) AS from_at,
    least(coalesce(m.until_at, 'infinity'::timestamptz), w.until_at, $as_of::timestamptz) AS until_at,
    coalesce(m.from_at, $log_from::timestamptz) >= w.from_at AS begins
  FROM machine m, span w
  WHERE m.kind = 'always-on' AND ($machine::varchar IS NULL OR m.machine = $machine::varchar)
),
whole AS (
  SELECT
    machine,
    'enabled' AS measure,
    1.0 AS weight,
    greatest(started_at, window_from) AS from_at,
    CASE WHEN end_draws IS NULL THEN end_best ELSE end_last END AS until_at,
    window_until,
    started_at AS base_at,
    end_draws AS draws,
    CASE WHEN started_at >= window_from THEN 1 ELSE 0 END AS sessions,
    CASE WHEN started_at >= window_from THEN starts ELSE 0 END AS starts
  FROM own
  WHERE kind IS NULL OR kind = 'stations'
  UNION ALL
  SELECT
    machine,
    measure,
    weight,
    greatest(from_at, window_from),
    until_at,
    window_until,
    from_at,
    NULL,
    0,
    CASE WHEN is_start AND from_at >= window_from AND measure = 'enabled' THEN 1 ELSE 0 END
  FROM island
  UNION ALL
  SELECT
    machine,
    measure,
    weight,
    greatest(until_at, window_from),
    until_at + to_microseconds((max(seconds) * 1e6)::bigint),
    window_until,
    until_at,
    list(greatest(seconds, 0) ORDER BY world),
    0,
    0
  FROM reach
  GROUP BY machine, measure, weight, window_from, window_until, until_at, next_from
  UNION ALL
  SELECT d.machine, 'load', d.load, greatest(k.started_at, k.window_from), coalesce(k.end_last, k.end_best), k.window_until, k.started_at, k.end_draws, 0, 0
  FROM machine_driver d
  JOIN known k ON k.machine = d.driver
  WHERE $machine::varchar IS NULL OR d.machine = $machine::varchar
  UNION ALL
  SELECT machine, 'enabled', 1, from_at, until_at, until_at, from_at, NULL, 0, begins::int FROM always WHERE from_at < until_at
  UNION ALL
  SELECT a.machine, 'enabled', -1, greatest(a.from_at, o.from_at), least(a.until_at, o.until_at), a.until_at, o.from_at, NULL, 0, 0
  FROM always a
  JOIN away o ON o.machine = a.machine AND o.from_at < a.until_at AND o.until_at > a.from_at
  UNION ALL
  SELECT a.machine, 'enabled', 0, o.until_at, o.until_at, a.until_at, o.until_at, NULL, 0, 1
  FROM always a
  JOIN away o ON o.machine = a.machine AND o.until_at >= a.from_at AND o.until_at < a.until_at
  -- A motor stop that was not seen lies between its bounds, half the time before its median; its luck is its own.
  UNION ALL
  SELECT
    t.machine,
    'motor',
    1,
    greatest(t.started_at, w.from_at),
    CASE WHEN t.stopped_at IS NULL THEN t.stop_high ELSE t.stopped_at END,
    w.until_at,
    t.started_at,
    CASE
      WHEN t.stopped_at IS NULL AND t.stop_low < t.stop_high THEN list_transform(
        range(1, 101),
        lambda k: CASE
          WHEN ((k * (1 + t.luck % 100) + t.luck // 100) % 101) < 50.5
            THEN t.low_seconds + (t.best_seconds - t.low_seconds) * (((k * (1 + t.luck % 100) + t.luck // 100) % 101) + 0.5) / 50.5
          ELSE t.best_seconds + (t.high_seconds - t.best_seconds) * (((k * (1 + t.luck % 100) + t.luck // 100) % 101) + 0.5 - 50.5) / 50.5
        END
      )
    END,
    0,
    0
  FROM (
    SELECT
      *,
      (hash(machine || epoch_us(started_at)) % 10100)::integer AS luck,
      epoch_us(stop_low - started_at) / 1e6 AS low_seconds,
      epoch_us(stop_best - started_at) / 1e6 AS best_seconds,
      epoch_us(stop_high - started_at) / 1e6 AS high_seconds
    FROM motor
  ) t
  JOIN span w ON t.started_at < w.until_at AND t.stop_high > w.from_at
  WHERE $machine::varchar IS NULL OR t.machine = $machine::varchar
),
clipped AS (
  SELECT
    machine,
    measure,
    weight,
    from_at,
    greatest(from_at, least(until_at, window_until, $as_of::timestamptz)) AS until_at,
    base_at,
    draws,
    sessions,
    starts
  FROM whole
)
SELECT * FROM clipped
UNION ALL
SELECT machine, 'factored', weight, from_at, until_at, base_at, draws, 0, 0
FROM clipped
WHERE measure = 'enabled' AND machine IN (SELECT machine FROM hours_cover)
UNION ALL
SELECT c.machine, 'factored', -c.weight, greatest(c.from_at, v.from_at), least(c.until_at, v.until_at), c.base_at, c.draws, 0, 0
FROM clipped c
JOIN hours_cover v ON v.machine = c.machine AND v.from_at < c.until_at AND v.until_at > c.from_at
WHERE c.measure = 'enabled';
