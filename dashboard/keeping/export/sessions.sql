-- The sessions that began in one local year, as they follow from the events. `hours` is the whole length where the end was seen,
-- else its mean over the joint worlds, so that hours add up to the totals of `almanac hours`.
-- $zone IANA name · $year integer.
SELECT
  session_id,
  machine,
  station,
  badge,
  started_at AS start,
  ended_at AS "end",
  ended,
  end_low,
  end_best,
  end_high,
  starts,
  coalesce(list_avg(end_draws), (epoch_us(end_best) - epoch_us(started_at)) / 1e6) / 3600 AS hours,
  timezone($zone, started_at) AS local_start
FROM session
WHERE year(timezone($zone, started_at)) = $year
ORDER BY started_at, station, session_id
