-- Adds to hours_stretch what current sensors measured, and the enabled hours of their machines outside hours_cover, which a factor
-- must turn into run-hours. A motor stop that was not seen lies between its bounds, half the time before its median.
-- $windows varchar, JSON list of {"from","until"} · $asked varchar, null = all · $as_of timestamptz.
INSERT INTO hours_stretch
WITH span AS (
  SELECT (w->>'from')::timestamptz AS from_at, (w->>'until')::timestamptz AS until_at
  FROM (SELECT unnest($windows::json[]) AS w)
),
turned AS (
  SELECT
    t.machine,
    t.started_at,
    coalesce(t.stopped_at, t.stop_best) AS best_at,
    t.stopped_at IS NULL AND t.stop_low < t.stop_high AS is_unseen,
    CASE WHEN t.stopped_at IS NULL THEN t.stop_high ELSE t.stopped_at END AS last_at,
    (epoch_us(t.stop_low) - epoch_us(t.started_at)) / 1e6 AS low_seconds,
    (epoch_us(t.stop_best) - epoch_us(t.started_at)) / 1e6 AS best_seconds,
    (epoch_us(t.stop_high) - epoch_us(t.started_at)) / 1e6 AS high_seconds,
    (hash(t.machine || epoch_us(t.started_at)) % 10000)::integer AS luck,
    w.from_at AS window_from,
    w.until_at AS window_until
  FROM motor t
  JOIN span w ON t.started_at < w.until_at AND greatest(t.stop_high, t.stopped_at) > w.from_at
  WHERE $asked::varchar IS NULL OR t.machine = $asked::varchar
),
-- Every world takes another of a hundred even steps from 0 to 1, each stop in an order of its own (101 is prime).
drawn AS (
  SELECT
    *,
    CASE WHEN is_unseen THEN list_transform(
      list_transform(range(1, 101), lambda k: ((k * (1 + luck % 100) % 101) - 0.5) / 100),
      lambda u: CASE
        WHEN u < 0.5 THEN low_seconds + (best_seconds - low_seconds) * 2 * u
        ELSE best_seconds + (high_seconds - best_seconds) * (2 * u - 1)
      END
    ) END AS draws
  FROM turned
)
SELECT
  machine,
  'motor',
  1,
  greatest(started_at, window_from),
  greatest(started_at, window_from, least(last_at, window_until, $as_of::timestamptz)),
  started_at,
  best_at,
  draws,
  NULL,
  0,
  0,
  window_from,
  window_until
FROM drawn
UNION ALL
SELECT machine, 'factored', weight, from_at, until_at, base_at, best_at, draws, NULL, 0, 0, window_from, window_until
FROM hours_stretch
WHERE measure = 'enabled' AND machine IN (SELECT machine FROM hours_cover)
UNION ALL
SELECT s.machine, 'factored', -s.weight, greatest(s.from_at, v.from_at), least(s.until_at, v.until_at), s.base_at, s.best_at, s.draws, NULL, 0, 0, s.window_from, s.window_until
FROM hours_stretch s
JOIN hours_cover v ON v.machine = s.machine AND v.from_at < s.until_at AND v.until_at > s.from_at
WHERE s.measure = 'enabled';
