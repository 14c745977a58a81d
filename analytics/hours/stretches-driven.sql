-- Adds to hours_stretch what driven machines get from their drivers' sessions: their own hours are the union of these, each with the
-- run-on, and their load the sum. Of a union the seen part stands as it is, and each gap of it gets the furthest that an unseen end
-- reaches into it, world by world: together they are the union in every world.
-- $feeds varchar, JSON list of {"machine", "measure" (enabled, load), "weight", "source" (which union it belongs to, null = none:
-- each session by itself), "driver", "runOn" (seconds)} · $as_of timestamptz.
INSERT INTO hours_stretch
WITH feed AS (
  SELECT
    f->>'machine' AS machine,
    f->>'measure' AS measure,
    (f->>'weight')::double AS weight,
    f->>'source' AS source,
    f->>'driver' AS driver,
    (f->>'runOn')::double AS run_on
  FROM (SELECT unnest($feeds::json[]) AS f)
),
fed AS (
  SELECT
    f.machine,
    f.measure,
    f.source,
    f.weight,
    f.run_on,
    s.base_at,
    s.draws,
    s.window_from,
    s.window_until,
    CASE WHEN s.draws IS NULL THEN s.best_at ELSE s.base_at + to_microseconds((list_min(s.draws) * 1e6)::bigint) END
      + to_microseconds((f.run_on * 1e6)::bigint) AS sure_until,
    s.best_at + to_microseconds((f.run_on * 1e6)::bigint) AS best_until,
    CASE WHEN s.draws IS NULL THEN s.best_at ELSE s.base_at + to_microseconds((list_max(s.draws) * 1e6)::bigint) END
      + to_microseconds((f.run_on * 1e6)::bigint) AS last_until
  FROM feed f
  JOIN hours_stretch s ON s.machine = f.driver AND s.measure IN ('enabled', 'feed')
  WHERE f.source IS NOT NULL
),
fed_line AS (
  SELECT *, max(sure_until) OVER before AS sure_before, max(best_until) OVER before AS best_before
  FROM fed
  WINDOW before AS (
    PARTITION BY machine, measure, source, window_from
    ORDER BY base_at, sure_until, best_until
    ROWS BETWEEN UNBOUNDED PRECEDING AND 1 PRECEDING
  )
),
fed_run AS (
  SELECT
    *,
    sum((sure_before IS NULL OR base_at > sure_before)::int) OVER (
      PARTITION BY machine, measure, source, window_from
      ORDER BY base_at, sure_until, best_until
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
    min(base_at) AS from_at,
    max(sure_until) AS until_at,
    bool_or(best_before IS NULL OR base_at > best_before) AS is_start,
    lead(min(base_at), 1, 'infinity'::timestamptz) OVER (
      PARTITION BY machine, measure, source, window_from
      ORDER BY min(base_at)
    ) AS next_from
  FROM fed_run
  GROUP BY machine, measure, source, weight, window_from, window_until, run
),
reach AS (
  SELECT
    i.machine,
    i.measure,
    i.source,
    i.weight,
    i.window_from,
    i.window_until,
    i.until_at,
    t.world,
    max(least(
      (epoch_us(t.base_at) - epoch_us(i.until_at)) / 1e6 + t.draws[t.world] + t.run_on,
      CASE WHEN isfinite(i.next_from) THEN (epoch_us(i.next_from) - epoch_us(i.until_at)) / 1e6 ELSE 'infinity'::double END
    )) AS seconds
  FROM island i
  JOIN (SELECT *, unnest(range(1, len(draws) + 1)) AS world FROM fed WHERE draws IS NOT NULL) t
    ON t.machine = i.machine AND t.measure = i.measure AND t.source = i.source AND t.window_from = i.window_from
    AND t.base_at <= i.until_at AND t.last_until > i.until_at
  GROUP BY ALL
),
whole AS (
  SELECT machine, measure, weight, from_at, until_at, until_at AS best_at, NULL AS draws, (is_start AND measure = 'enabled')::integer AS starts, window_from, window_until
  FROM island
  UNION ALL
  SELECT
    machine,
    measure,
    weight,
    until_at,
    until_at + to_microseconds((max(greatest(seconds, 0)) * 1e6)::bigint),
    until_at,
    list(greatest(seconds, 0) ORDER BY world),
    0,
    window_from,
    window_until
  FROM reach
  GROUP BY machine, measure, source, weight, window_from, window_until, until_at
)
SELECT
  machine,
  measure,
  weight,
  greatest(from_at, window_from),
  greatest(from_at, window_from, least(until_at, window_until, $as_of::timestamptz)),
  from_at,
  best_at,
  draws,
  NULL,
  0,
  CASE WHEN from_at >= window_from THEN starts ELSE 0 END,
  window_from,
  window_until
FROM whole
UNION ALL
SELECT f.machine, f.measure, f.weight, s.from_at, s.until_at, s.base_at, s.best_at, s.draws, NULL, 0, 0, s.window_from, s.window_until
FROM feed f
JOIN hours_stretch s ON s.machine = f.driver AND s.measure IN ('enabled', 'feed')
WHERE f.source IS NULL;
