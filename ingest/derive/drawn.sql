-- Joint draws of the ends nobody saw. One session's draws are the quantiles of its own distribution, in an order that follows
-- from its key; those that one cause ended share the draws of the cause.
-- $seed varchar, $rules_version integer. Reads judged, ranked, weighed, reference, shuffle, cause_cut. Adds to session.
-- The distribution: lengths of the reference from end_low up to end_high, weighed by the pause that followed where another start
-- did; where there are none, the mean length's exponential between the two. What the as-of time or a cut ended might have gone on, so nothing bounds its length from above; but an open
-- session may also have ended unheard (one release in fifty is taken to get lost). A session whose start was not seen is turned
-- round: it ended with its release, began by its median length before, and its draws are lengths.
INSERT INTO session
WITH lucky AS (
  SELECT session_id, md5_number_lower(concat(session_id, ':', $seed::varchar)) AS luck FROM judged
), first AS MATERIALIZED (
  -- One order after the other: joined in one go, a plan may cross the three of them before it looks at luck.
  SELECT session_id, luck, a.places FROM lucky JOIN shuffle AS a ON a.number = luck % 256
), second AS MATERIALIZED (
  SELECT session_id, luck, list_select(first.places, b.places) AS places FROM first JOIN shuffle AS b ON b.number = 256 + (luck >> 8) % 256
), third AS MATERIALIZED (
  SELECT session_id, list_select(second.places, c.places) AS places FROM second JOIN shuffle AS c ON c.number = 512 + (luck >> 16) % 256
), placed AS (
  -- The long lists of the reference come last: carried along they would fill the memory.
  SELECT judged.*, third.places, mean_seconds, lengths, own, odds, below, upto,
    (epoch_us(end_low) - epoch_us(started_at)) / 1e6 AS low,
    (epoch_us(end_high) - epoch_us(started_at)) / 1e6 AS high,
    ended IN ('superseded', 'lost', 'released') AS bounded,
    CASE WHEN ended = 'restarted' THEN len(lengths) ELSE upto END AS within
  FROM judged JOIN third USING (session_id) JOIN ranked USING (session_id) LEFT JOIN weighed USING (session_id) JOIN reference USING (machine)
), lasted AS (
  SELECT *,
    CASE
      WHEN own IS NOT NULL AND odds IS NOT NULL THEN list_select(own, list_transform(list_zip(places, odds), lambda pair:
        1 + floor(256 * (pair[1] - 0.5) * pair[2] / (100.5 - pair[1] + (pair[1] - 0.5) * pair[2]))::bigint))
      WHEN own IS NOT NULL THEN list_select(own, list_transform(places, lambda place: 1 + floor(2.56 * (place - 0.5))::bigint))
      WHEN within > below AND odds IS NOT NULL THEN list_select(lengths, list_transform(list_zip(places, odds), lambda pair:
        below + 1 + floor((within - below) * (pair[1] - 0.5) * pair[2] / (100.5 - pair[1] + (pair[1] - 0.5) * pair[2]))::bigint))
      WHEN within > below THEN list_select(lengths, list_transform(places, lambda place:
        below + 1 + floor((within - below) * (place - 0.5) / 100)::bigint))
      WHEN bounded THEN list_transform(places, lambda place:
        low - mean_seconds * ln(1 - (place - 0.5) / 100 * (1 - exp(-(high - low) / mean_seconds))))
      ELSE list_transform(places, lambda place: low - mean_seconds * ln(1 - (place - 0.5) / 100))
    END AS lengths_drawn,
    CASE
      WHEN own IS NOT NULL THEN (own[128] + own[129]) / 2
      WHEN within > below THEN (lengths[below + (within - below + 1) // 2] + lengths[below + (within - below) // 2 + 1]) / 2
      WHEN bounded THEN low - mean_seconds * ln(1 - (1 - exp(-(high - low) / mean_seconds)) / 2)
      ELSE low + mean_seconds * ln(2)
    END AS median_length,
    -- The chance that it still runs.
    CASE WHEN ended = 'open' THEN (len(lengths) - upto + 0.5) / (len(lengths) - upto + 0.5 + 0.02 * (upto - below)) END AS running
  FROM placed
), cut AS (
  SELECT lasted.*, list_transform(cause_cut.cuts, lambda cut: cut - epoch_us(started_at) / 1e6) AS cuts,
    (epoch_us(from_best) - epoch_us(started_at)) / 1e6 AS median_cut
  FROM lasted LEFT JOIN cause_cut ON cause_cut.cause_id = lasted.cause_id
), drawn AS (
  SELECT *,
    CASE
      WHEN heard THEN cuts
      WHEN cuts IS NOT NULL THEN list_transform(list_zip(lengths_drawn, cuts), lambda pair: least(pair[1], pair[2], high))
      WHEN ended = 'open' THEN list_transform(list_zip(list_select(places, places), lengths_drawn), lambda pair:
        CASE WHEN pair[1] > 100 * (1 - running) THEN high ELSE least(pair[2], high) END)
      ELSE lengths_drawn
    END AS draws
  FROM cut
), best AS (
  SELECT *,
    make_timestamptz(epoch_us(started_at) + (1e6 * CASE
      WHEN heard THEN median_cut
      WHEN cuts IS NOT NULL THEN list_aggregate(draws, 'median')
      WHEN running >= 0.5 THEN high
      WHEN running IS NOT NULL THEN least(high, lengths[below + 1 + floor((upto - below) * 0.5 / (1 - running))::bigint])
      ELSE median_length END)::bigint) AS end_best
  FROM drawn
)
SELECT session_id, machine, station, badge, started_at, NULL, ended, end_low, end_best, end_high, starts, cause_id, draws,
  $rules_version::integer
FROM best WHERE ended <> 'released'
UNION ALL
SELECT session_id, machine, station, badge, make_timestamptz(epoch_us(started_at) + turned_us), end_high, ended,
  make_timestamptz(epoch_us(end_low) + turned_us), end_high, make_timestamptz(epoch_us(end_high) + turned_us), starts, NULL, draws,
  $rules_version::integer
FROM (SELECT *, epoch_us(end_high) - epoch_us(end_best) AS turned_us FROM best WHERE ended = 'released')
