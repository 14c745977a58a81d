-- Makes the temporary table piece: the sessions of machines with stations, cut at local days or hours and clipped to the
-- windows. What is known exactly stands here, what hangs on an unseen end in piece_draw.
-- $windows varchar, JSON list of {"from","until"} · $machine varchar, null = all · $as_of timestamptz · $zone IANA name ·
-- $grain varchar, day or hour.
-- Gives the table: machine varchar, label timestamp, sessions, open_sessions, starts bigint, enabled_seconds double.
CREATE OR REPLACE TEMP TABLE piece AS
WITH span AS (
  SELECT (w->>'from')::timestamptz AS from_at, (w->>'until')::timestamptz AS until_at
  FROM (SELECT unnest($windows::json[]) AS w)
),
part AS (
  SELECT
    s.machine,
    s.started_at,
    s.started_at >= w.from_at AS begins,
    s.end_high > $as_of::timestamptz OR s.ended = 'open' AS is_open,
    s.starts,
    greatest(s.started_at, w.from_at) AS from_at,
    CASE
      WHEN s.end_draws IS NULL THEN greatest(least(coalesce(s.ended_at, s.end_best), w.until_at, $as_of::timestamptz), greatest(s.started_at, w.from_at))
      ELSE greatest(s.started_at, w.from_at)
    END AS until_at
  FROM session s
  JOIN span w ON s.started_at < w.until_at AND (s.started_at >= w.from_at OR s.end_high > w.from_at)
  WHERE $machine::varchar IS NULL OR s.machine = $machine::varchar
),
labelled AS (
  SELECT
    *,
    date_trunc($grain, timezone($zone, from_at)) AS first_label,
    date_trunc($grain, timezone($zone, until_at)) AS last_label
  FROM part
),
cut AS (
  SELECT
    *,
    unnest(CASE
      WHEN first_label >= last_label THEN [first_label]
      WHEN $grain = 'day' THEN generate_series(first_label, last_label, INTERVAL 1 DAY)
      ELSE generate_series(first_label, last_label, INTERVAL 1 HOUR)
    END) AS label
  FROM labelled
)
SELECT
  c.machine,
  slot.label,
  count(*) FILTER (c.begins AND c.label = c.first_label) AS sessions,
  count(*) FILTER (c.begins AND c.label = c.first_label AND c.is_open) AS open_sessions,
  coalesce(sum(c.starts) FILTER (c.begins AND c.label = c.first_label), 0)::bigint AS starts,
  sum(greatest(0, epoch_us(least(c.until_at, slot.until_at) - greatest(c.from_at, slot.from_at)))) / 1e6 AS enabled_seconds
FROM cut c
JOIN slot ON slot.label = c.label
GROUP BY ALL;
