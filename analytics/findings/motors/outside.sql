-- Motor stretches, or parts of them, that no session covers: the motor started without one, or turned on when the last one had ended.
-- What tells whether a badge line was only lost stands beside them: numbers missing from the station's counter just before, and
-- whether the next thing heard of a badge there is that it left.
-- $since, $until timestamptz, null = no bound, until excluded · $as_of timestamptz · $slack_seconds double: how far a motor may
-- start before its badge line, or stop after it.
-- Gives: machine, "machineName", station, badge (of the session before) varchar, "from", "until" timestamptz, "isStopSeen" boolean,
-- "earlyAt", "lateAt" (bounds of the start, null where its stamp is believed) timestamptz,
-- "isRunningOn" (it started within a session), "isNumberMissing", "isWhole" (no number is missing since the
-- last word of a badge), "isReleaseNext", "hasCounter" boolean, "bootAt" timestamptz (the last start of the
-- station before, where no badge was accepted between).
WITH turned AS MATERIALIZED (
  SELECT
    row_number() OVER () AS stretch,
    motor.machine,
    motor.station,
    motor.started_at,
    motor.stopped_at,
    least(motor.stop_best, $as_of::timestamptz) AS stop_best
  FROM motor
  JOIN machine ON machine.machine = motor.machine AND machine.kind = 'stations'
  WHERE motor.started_at <= $as_of::timestamptz
    AND ($until::timestamptz IS NULL OR motor.started_at < $until::timestamptz)
    AND ($since::timestamptz IS NULL OR motor.stop_high > $since::timestamptz OR motor.started_at >= $since::timestamptz)
),
reach AS (
  SELECT min(started_at) - to_seconds($slack_seconds) AS from_at, max(coalesce(stopped_at, stop_best)) + to_seconds($slack_seconds) AS until_at FROM turned
),
-- Sessions by the hours they touch, so that a motor meets only those of its own hour.
enabled AS MATERIALIZED (
  SELECT
    machine,
    badge,
    started_at - to_seconds($slack_seconds) AS from_at,
    end_high AS ended_at,
    unnest(range(
      epoch_ms(started_at - to_seconds($slack_seconds)) // 3600000,
      epoch_ms(least(end_high, started_at + INTERVAL 40 DAY)) // 3600000 + 1
    )) AS hour
  FROM session, reach
  WHERE started_at <= reach.until_at AND end_high >= reach.from_at AND machine IN (SELECT machine FROM turned)
),
covered AS MATERIALIZED (
  SELECT t.stretch, max(e.ended_at) AS covered_until, arg_max(e.badge, e.ended_at) AS badge
  FROM turned t
  JOIN enabled e ON e.machine = t.machine AND e.hour = epoch_ms(t.started_at) // 3600000
    AND e.from_at <= t.started_at AND e.ended_at + to_seconds($slack_seconds) >= t.started_at
  GROUP BY t.stretch
),
loose AS MATERIALIZED (
  SELECT t.*, c.covered_until, c.badge
  FROM turned t
  LEFT JOIN covered c ON c.stretch = t.stretch
  -- A motor that runs on counts by its seen stop; an unseen one is bounded by the session anyhow.
  WHERE c.stretch IS NULL OR t.stopped_at > c.covered_until + to_seconds($slack_seconds)
),
-- Someone else's session may have begun meanwhile.
cut AS (
  SELECT l.*, min(s.started_at) AS next_start
  FROM loose l
  LEFT JOIN session s ON s.machine = l.machine AND l.covered_until IS NOT NULL AND s.started_at > l.started_at AND s.started_at < l.stopped_at
    AND s.started_at > l.covered_until - to_seconds($slack_seconds)
  GROUP BY ALL
),
kept AS MATERIALIZED (
  SELECT
    *,
    coalesce(covered_until, started_at) AS from_at,
    least(coalesce(stopped_at, stop_best), coalesce(next_start, 'infinity'::timestamptz)) AS until_at
  FROM cut
  WHERE covered_until IS NULL OR least(stopped_at, coalesce(next_start, stopped_at)) > covered_until + to_seconds($slack_seconds)
),
heard AS MATERIALIZED (
  SELECT
    k.stretch,
    max(e.occurred_at) FILTER (e.kind = 'boot' AND e.occurred_at <= k.started_at) AS boot_at,
    max(e.occurred_at) FILTER (e.kind = 'enable' AND e.occurred_at <= k.started_at) AS enable_at,
    max(e.occurred_at) FILTER (e.kind IN ('enable', 'release', 'boot') AND e.occurred_at <= k.started_at) AS badge_at,
    arg_max(e.sequence, e.occurred_at) FILTER (e.kind IN ('enable', 'release', 'boot') AND e.occurred_at <= k.started_at) AS badge_sequence,
    arg_min(e.kind, (e.occurred_at, e.sequence)) FILTER (e.kind IN ('enable', 'release', 'boot') AND e.occurred_at > k.started_at) AS next_kind,
    max(e.sequence) FILTER (e.kind = 'motor-on' AND e.occurred_at = k.started_at) AS sequence,
    min(e.early_at) FILTER (e.kind = 'motor-on' AND e.occurred_at = k.started_at) AS early_at,
    max(e.late_at) FILTER (e.kind = 'motor-on' AND e.occurred_at = k.started_at) AS late_at
  FROM kept k
  JOIN event e ON e.station = k.station AND e.occurred_at BETWEEN k.started_at - INTERVAL 14 DAY AND k.started_at + INTERVAL 2 DAY
    AND e.occurred_at <= $as_of::timestamptz
  GROUP BY k.stretch
),
numbered AS (
  SELECT
    h.stretch,
    bool_or(n.sequence = h.sequence - 1) AS has_one_before,
    bool_or(n.sequence IS NOT NULL) AS has_counter,
    count(DISTINCT n.sequence) FILTER (n.sequence BETWEEN h.badge_sequence AND h.sequence) = any_value(h.sequence - h.badge_sequence) + 1 AS is_whole
  FROM heard h
  JOIN kept k ON k.stretch = h.stretch
  JOIN (
    SELECT station, occurred_at, sequence FROM event WHERE station IN (SELECT station FROM kept)
    UNION ALL
    SELECT station, occurred_at, sequence FROM alive_odd WHERE station IN (SELECT station FROM kept)
    UNION ALL
    SELECT station, hour_at, unnest(list_transform(range(1, len(sequence_steps) + 1), lambda i: list_sum(sequence_steps[:i])::bigint))
    FROM alive_hour
    WHERE has_sequence AND station IN (SELECT station FROM kept) AND hour_at >= (SELECT min(started_at) - INTERVAL 15 DAY FROM kept)
  ) AS n ON n.station = k.station
    AND n.occurred_at BETWEEN least(k.started_at - INTERVAL 2 DAY, h.badge_at - INTERVAL 1 HOUR) AND k.started_at + INTERVAL 1 HOUR
  GROUP BY h.stretch
)
SELECT
  k.machine,
  m.name AS "machineName",
  k.station,
  k.badge,
  k.from_at AS "from",
  k.until_at AS "until",
  h.early_at AS "earlyAt",
  h.late_at AS "lateAt",
  k.stopped_at IS NOT NULL AS "isStopSeen",
  k.covered_until IS NOT NULL AS "isRunningOn",
  (coalesce(n.has_counter, false) AND NOT n.has_one_before) IS TRUE AS "isNumberMissing",
  coalesce(n.is_whole, false) AS "isWhole",
  coalesce(h.next_kind = 'release', false) AS "isReleaseNext",
  coalesce(n.has_counter, false) AS "hasCounter",
  CASE WHEN h.boot_at > coalesce(h.enable_at, '-infinity'::timestamptz) THEN h.boot_at END AS "bootAt"
FROM kept k
JOIN machine m ON m.machine = k.machine
LEFT JOIN heard h ON h.stretch = k.stretch
LEFT JOIN numbered n ON n.stretch = k.stretch
ORDER BY k.from_at, k.station;
