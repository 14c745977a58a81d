-- Motor-on stretches: from a start to the next stop, start or boot at the station; an unseen stop is bounded by those and by
-- the end of the session it began in.
-- $as_of, $since timestamptz. Reads event, session, station_span. Adds to motor.
INSERT INTO motor
WITH turned AS (
  SELECT station, kind, occurred_at,
    lead(kind) OVER line_order AS next_kind,
    lead(occurred_at) OVER line_order AS next_at
  FROM event
  WHERE kind IN ('motor-on', 'motor-off', 'boot')
    AND occurred_at <= $as_of::timestamptz AND occurred_at >= $since::timestamptz
  WINDOW line_order AS (PARTITION BY station ORDER BY occurred_at, sequence NULLS FIRST, reading_id, line)
  QUALIFY kind = 'motor-on'
), placed AS (
  SELECT turned.*, coalesce(machine, concat('station:', turned.station)) AS machine,
    coalesce(next_at, $as_of::timestamptz) AS bound_at
  FROM turned
  LEFT JOIN station_span ON station_span.station = turned.station AND occurred_at >= from_at AND occurred_at < until_at
), held AS (
  SELECT placed.*, end_low, end_best, end_high
  FROM placed ASOF LEFT JOIN session ON session.station = placed.station AND session.started_at <= placed.occurred_at
)
SELECT machine, station, occurred_at,
  CASE WHEN next_kind = 'motor-off' THEN next_at END,
  CASE WHEN next_kind = 'motor-off' THEN next_at ELSE occurred_at END,
  CASE WHEN next_kind = 'motor-off' THEN next_at
    WHEN end_high >= occurred_at THEN least(greatest(end_best, occurred_at), bound_at) ELSE occurred_at END,
  CASE WHEN next_kind = 'motor-off' THEN next_at WHEN end_high >= occurred_at THEN least(end_high, bound_at) ELSE bound_at END
FROM held
