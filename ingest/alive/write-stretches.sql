-- Stretches of life behind the cuts. A stretch goes on while the next sign comes within three times the usual gap: the median of
-- gaps within the hour of either sign, the smaller; of the hour before or behind where the hour has too few; an hour where those
-- have, too.
-- Fills alive_stretch.
INSERT INTO alive_stretch
WITH context AS (
  -- A day before the cut tells what was usual there.
  SELECT station, cut_at, cut_at - INTERVAL 1 DAY AS from_at FROM log_alive_cut
), hours AS (
  SELECT h.*, c.cut_at,
    coalesce(usual_gap_seconds, lag(usual_gap_seconds) OVER neighbours, lead(usual_gap_seconds) OVER neighbours, 3600) AS usual
  FROM alive_hour AS h JOIN context AS c ON c.station = h.station AND h.hour_at >= c.from_at
  WINDOW neighbours AS (PARTITION BY h.station ORDER BY h.hour_at, h.has_sequence)
), odd AS (
  SELECT o.station, o.occurred_at, c.cut_at, make_timestamptz(epoch_us(o.occurred_at) // 3600000000 * 3600000000) AS hour_at
  FROM alive_odd AS o JOIN context AS c ON c.station = o.station AND o.occurred_at >= c.from_at
), whole AS (
  -- An hour in which the rhythm held is taken whole.
  SELECT * FROM (SELECT *, count(*) OVER (PARTITION BY station, hour_at) AS hour_rows FROM hours) AS counted
  WHERE longest_gap_seconds <= 3 * usual AND hour_rows = 1
    AND NOT EXISTS (SELECT 1 FROM odd WHERE odd.station = counted.station AND odd.hour_at = counted.hour_at)
), opened AS (
  SELECT station, cut_at, hour_at, usual, has_sequence, unnest(steps) AS step, generate_subscripts(steps, 1) AS place
  FROM hours ANTI JOIN whole USING (station, hour_at)
), atoms AS (
  SELECT station, cut_at, usual, hour_at + to_seconds(first_second::INTEGER) AS first_at, hour_at + to_seconds(last_second::INTEGER) AS last_at,
    signs::BIGINT AS signs, longest_gap_seconds::DOUBLE AS longest_gap
  FROM whole
  UNION ALL
  SELECT station, cut_at, usual, heard_at, heard_at, 1, 0
  FROM (
    SELECT station, cut_at, usual,
      hour_at + to_seconds((sum(step) OVER (PARTITION BY station, hour_at, has_sequence ORDER BY place))::INTEGER) AS heard_at
    FROM opened
  )
  UNION ALL
  SELECT odd.station, odd.cut_at, coalesce(hours.usual, 3600), occurred_at, occurred_at, 1, 0
  FROM odd LEFT JOIN (SELECT station, hour_at, min(usual) AS usual FROM hours GROUP BY ALL) AS hours USING (station, hour_at)
), gaps AS (
  SELECT *, epoch(first_at - lag(last_at) OVER following) AS gap, least(usual, lag(usual) OVER following) AS usual_here
  FROM atoms
  WINDOW following AS (PARTITION BY station ORDER BY first_at, last_at)
), islands AS (
  SELECT *, sum(CASE WHEN gap IS NULL OR gap > 3 * usual_here THEN 1 ELSE 0 END) OVER (PARTITION BY station ORDER BY first_at, last_at) AS island,
    CASE WHEN gap <= 3 * usual_here THEN gap ELSE 0 END AS gap_before
  FROM gaps
), stretches AS (
  SELECT station, any_value(cut_at) AS cut_at, min(first_at) AS first_at, max(last_at) AS last_at, sum(signs)::BIGINT AS signs,
    greatest(max(longest_gap), max(gap_before))::DOUBLE AS longest_gap
  FROM islands GROUP BY station, island
)
SELECT station, first_at, last_at, signs, longest_gap FROM stretches WHERE first_at >= cut_at ORDER BY first_at, station;
