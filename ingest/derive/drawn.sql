-- Joint draws of the ends nobody saw. One session's draws are the quantiles of its own distribution, in an order that follows
-- from its key; those that one cause ended share the draws of the cause.
-- $seed varchar, $rules_version integer. Reads judged, reference, reference_rank, shuffle. Adds to session.
-- The distribution: lengths of the reference from end_low up to end_high; beyond all of them the mean length's exponential tail.
-- An open session may have ended unheard (one release in fifty is taken to get lost) or still run at the as-of time.
INSERT INTO session
WITH ranked AS (
  SELECT judged.*, longest_seconds, mean_seconds, lengths,
    epoch(end_low - started_at) AS low,
    epoch(end_high - started_at) AS high,
    -- What a cut or the as-of time ended might have gone on: nothing bounds its length from above.
    ended IN ('superseded', 'lost') AS bounded,
    coalesce(shorter.upto, 0) AS below,
    CASE WHEN ended IN ('superseded', 'lost') THEN coalesce(upper.upto, 0) ELSE len(lengths) END AS within,
    coalesce(upper.upto, 0) AS elapsed,
    md5_number_lower(concat(session_id, ':', $seed)) AS own_luck,
    md5_number_lower(concat('cause:', coalesce(cause_id, session_id), ':', $seed)) AS cause_luck
  FROM judged
  JOIN reference USING (machine)
  ASOF LEFT JOIN reference_rank AS shorter ON shorter.machine = judged.machine AND shorter.seconds < epoch(end_low - started_at)
  ASOF LEFT JOIN reference_rank AS upper ON upper.machine = judged.machine AND upper.seconds <= epoch(end_high - started_at)
), weighed AS (
  SELECT *,
    CASE WHEN ended = 'open' THEN
      (len(lengths) - elapsed + 0.5) / (len(lengths) - elapsed + 0.5 + 0.02 * (elapsed - below)) END AS running
  FROM ranked
), quantile AS (
  SELECT *,
    CASE
      WHEN ended = 'open' THEN list_transform(range(100), lambda k: CASE
        WHEN (k + 0.5) / 100 >= 1 - running THEN high
        ELSE lengths[(below + 1 + floor((k + 0.5) / 100 / (1 - running) * (elapsed - below)))::bigint] END)
      WHEN within > below THEN list_select(lengths, list_transform(range(100), lambda k: (below + 1 + floor((k + 0.5) / 100 * (within - below)))::bigint))
      WHEN bounded THEN list_transform(range(100), lambda k:
        low - mean_seconds * ln(1 - (k + 0.5) / 100 * (1 - exp(-(high - low) / mean_seconds))))
      ELSE list_transform(range(100), lambda k: low - mean_seconds * ln(1 - (k + 0.5) / 100))
    END AS quantiles
  FROM weighed
), shuffled AS (
  SELECT quantile.*,
    list_select(quantiles, list_select(a.places, list_select(b.places, c.places))) AS lengths_drawn,
    CASE WHEN cut_low IS NOT NULL THEN
      list_transform(list_select(d.places, list_select(e.places, f.places)), lambda place:
        epoch(cut_low - started_at) + (place - 0.5) / 100 * epoch(cut_high - cut_low)) END AS cuts_drawn
  FROM quantile
  JOIN shuffle AS a ON a.number = own_luck % 256
  JOIN shuffle AS b ON b.number = 256 + (own_luck >> 8) % 256
  JOIN shuffle AS c ON c.number = 512 + (own_luck >> 16) % 256
  JOIN shuffle AS d ON d.number = cause_luck % 256
  JOIN shuffle AS e ON e.number = 256 + (cause_luck >> 8) % 256
  JOIN shuffle AS f ON f.number = 512 + (cause_luck >> 16) % 256
), drawn AS (
  SELECT *,
    CASE
      WHEN heard THEN cuts_drawn
      WHEN cuts_drawn IS NOT NULL THEN list_transform(list_zip(lengths_drawn, cuts_drawn), lambda pair: least(pair[1], pair[2], high))
      ELSE list_transform(lengths_drawn, lambda seconds: least(greatest(seconds, low), high))
    END AS draws
  FROM shuffled
)
SELECT session_id, machine, station, badge, started_at, NULL, ended, end_low,
  started_at + to_microseconds((list_aggregate(draws, 'median') * 1e6)::bigint),
  end_high, starts, cause_id, draws, $rules_version::integer
FROM drawn
