-- Sessions on a machine within one of its outages. One that ran when the outage began counts once it went on for longer than the slack.
-- $since, $until timestamptz, null = no bound, until excluded · $as_of timestamptz · $slack_seconds double.
-- Gives: machine, "machineName", station, badge varchar, "from", "until" timestamptz, "isEndSeen" boolean, "outFrom" timestamptz,
-- reason varchar, "minutesInside" double.
SELECT
  s.machine,
  any_value(m.name) AS "machineName",
  s.station,
  s.badge,
  s.started_at AS "from",
  any_value(least(s.end_best, $as_of::timestamptz)) AS "until",
  any_value(s.ended_at IS NOT NULL AND s.ended_at <= $as_of::timestamptz) AS "isEndSeen",
  min(o.from_at) AS "outFrom",
  arg_min(o.reason, o.from_at) AS reason,
  max(epoch_us(least(s.end_best, o.until_at, $as_of::timestamptz)) - epoch_us(greatest(s.started_at, o.from_at))) / 6e7 AS "minutesInside"
FROM machine_outage AS o
JOIN session AS s ON s.machine = o.machine AND s.started_at < o.until_at AND s.end_best > o.from_at
JOIN machine AS m ON m.machine = s.machine
WHERE o.from_at < $as_of::timestamptz
  AND s.started_at <= $as_of::timestamptz
  AND (s.started_at >= o.from_at OR s.end_best > o.from_at + to_seconds($slack_seconds::double))
  AND ($until::timestamptz IS NULL OR s.started_at < $until::timestamptz)
  AND ($since::timestamptz IS NULL OR s.started_at >= $since::timestamptz OR s.end_best > $since::timestamptz)
GROUP BY s.session_id, s.machine, s.station, s.badge, s.started_at
ORDER BY s.started_at, s.station;
