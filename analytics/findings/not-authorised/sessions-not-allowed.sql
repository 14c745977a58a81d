-- Sessions of badges that the roster knows, without a row of the roster that allows that machine at that time. Local days.
-- $since, $until timestamptz, null = no bound, until excluded · $as_of timestamptz · $zone IANA name.
-- Gives: machine, "machineName", station, badge varchar, "from", "until" timestamptz, "isEndSeen" boolean, why varchar (early: not
-- valid yet, late: not any more, between: neither, machine: valid, for other machines), "validFrom", "validUntil" varchar (the
-- nearest such day).
WITH pass AS MATERIALIZED (
  SELECT
    badge,
    valid_from,
    valid_until,
    coalesce(timezone($zone, valid_from::timestamp), '-infinity'::timestamptz) AS from_at,
    coalesce(timezone($zone, (valid_until + INTERVAL 1 DAY)::timestamp), 'infinity'::timestamptz) AS until_at,
    from_json(machines, '["VARCHAR"]') AS machines
  FROM roster
),
-- One row for each badge and machine that it is allowed; without the machine where it is allowed all.
allowed AS MATERIALIZED (
  SELECT pass.badge, machine.machine, pass.from_at, pass.until_at
  FROM pass
  JOIN machine ON len(pass.machines) = 0 OR list_contains(pass.machines, machine.machine) OR list_contains(pass.machines, machine.group_id)
),
refused AS MATERIALIZED (
  SELECT s.*
  FROM session s
  WHERE s.started_at <= $as_of::timestamptz
    AND ($until::timestamptz IS NULL OR s.started_at < $until::timestamptz)
    AND ($since::timestamptz IS NULL OR s.started_at >= $since::timestamptz OR s.end_best > $since::timestamptz)
    AND s.badge IN (SELECT badge FROM pass)
    AND s.machine IN (SELECT machine FROM machine)
    AND NOT EXISTS (
      SELECT 1 FROM allowed a
      WHERE a.badge = s.badge AND a.machine = s.machine AND s.started_at >= a.from_at AND s.started_at < a.until_at
    )
)
SELECT
  r.machine,
  any_value(m.name) AS "machineName",
  r.station,
  r.badge,
  r.started_at AS "from",
  any_value(least(r.end_best, $as_of::timestamptz)) AS "until",
  any_value(r.ended_at IS NOT NULL AND r.ended_at <= $as_of::timestamptz) AS "isEndSeen",
  CASE
    WHEN bool_or(r.started_at >= p.from_at AND r.started_at < p.until_at) THEN 'machine'
    WHEN bool_and(r.started_at < p.from_at) THEN 'early'
    WHEN bool_and(r.started_at >= p.until_at) THEN 'late'
    ELSE 'between'
  END AS why,
  min(p.valid_from) FILTER (p.from_at > r.started_at)::varchar AS "validFrom",
  max(p.valid_until) FILTER (p.until_at <= r.started_at)::varchar AS "validUntil"
FROM refused r
JOIN pass p ON p.badge = r.badge
JOIN machine m ON m.machine = r.machine
GROUP BY r.session_id, r.machine, r.station, r.badge, r.started_at
ORDER BY r.started_at, r.station;
