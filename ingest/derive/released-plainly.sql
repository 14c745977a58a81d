-- Sessions closed once and released, most of them all: straight from the walk.
-- $from timestamptz: those that ended before are known already. $rules_version integer. Reads walked, station_span. Adds to session.
INSERT INTO session
SELECT
  (md5_number_lower(concat_ws('|', walked.station, epoch_us(occurred_at), coalesce(badge, ''))) >> 1)::bigint,
  coalesce(machine, concat('station:', walked.station)),
  walked.station, badge, occurred_at, next_at, 'released', next_at, next_at, next_at, 1, NULL, NULL, $rules_version::integer
FROM walked
LEFT JOIN station_span ON station_span.station = walked.station AND occurred_at >= from_at AND occurred_at < until_at
WHERE plain AND NOT again AND NOT again_next AND next_at >= $from::timestamptz
