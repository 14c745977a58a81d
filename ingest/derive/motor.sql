-- Motor-on stretches: from a start to the next stop, start or boot at the station; an unseen stop is bounded by those and by
-- the end of the session it began in.
-- $as_of, $since timestamptz. Reads event, session, station_span. Adds to motor.
INSERT INTO motor
WITH turned AS (
  SELECT station, kind, occurred_at,
    lead(kind) OVER line_order AS next_kind,
    coalesce(lead(occurred_at) OVER line_order, $as_of::timestamptz) AS bound_at
  FROM event
  WHERE kind IN ('motor-on', 'motor-off', 'boot')
    AND occurred_at <= $as_of::timestamptz AND occurred_at >= $since::timestamptz
  WINDOW line_order AS (PARTITION BY station ORDER BY occurred_at, sequence NULLS FIRST, reading_id, line)
  QUALIFY kind = 'motor-on'
), unseen_stop AS (
  SELECT station, occurred_at, bound_at, NULL AS session FROM turned WHERE next_kind IS DISTINCT FROM 'motor-off'
), held AS (
  -- The session that began last before an unseen stop's start.
  SELECT station, occurred_at, bound_at, holder.*
  FROM (
    SELECT station, occurred_at, bound_at,
      last_value(session IGNORE NULLS) OVER (PARTITION BY station ORDER BY occurred_at, session IS NULL
        ROWS BETWEEN UNBOUNDED PRECEDING AND CURRENT ROW) AS holder, session
    FROM (
      FROM unseen_stop
      UNION ALL
      SELECT station, started_at, NULL, {end_best: end_best, end_high: end_high}
      FROM session WHERE station IN (SELECT station FROM unseen_stop)
    )
  )
  WHERE session IS NULL
), stopped AS (
  SELECT station, occurred_at, bound_at AS stopped_at, bound_at AS stop_low, bound_at AS stop_best, bound_at AS stop_high
  FROM turned WHERE next_kind = 'motor-off'
  UNION ALL
  SELECT station, occurred_at, NULL, occurred_at,
    CASE WHEN end_high >= occurred_at THEN least(greatest(end_best, occurred_at), bound_at) ELSE occurred_at END,
    CASE WHEN end_high >= occurred_at THEN least(end_high, bound_at) ELSE bound_at END
  FROM held
)
SELECT coalesce(machine, concat('station:', stopped.station)), stopped.station, occurred_at, stopped_at, stop_low, stop_best, stop_high
FROM stopped
LEFT JOIN station_span ON station_span.station = stopped.station AND occurred_at >= from_at AND occurred_at < until_at
