-- Sessions that began while the doors were open and certainly went on for longer than the slack after they closed.
-- $since, $until timestamptz, null = no bound, until excluded · $as_of timestamptz · $slack_seconds double.
-- Gives: session_id bigint, machine, "machineName", station, badge, hazard varchar, "from", "closedAt", "until" timestamptz (the
-- certain end), "openedAt" timestamptz (when the doors opened again, null where they did not), "isEndSeen" boolean, "lastMotorAt"
-- timestamptz (when the motor was last known to turn in it), "hasMotor" boolean, "pastClosingShare" double (of the machine's sessions
-- of the last year before the as-of time, how many went on past closing).
WITH marked AS (
  SELECT
    from_at,
    until_at,
    coalesce(from_at > max(until_at) OVER (ORDER BY from_at, until_at ROWS BETWEEN UNBOUNDED PRECEDING AND 1 PRECEDING), true) AS is_first
  FROM opening
  WHERE from_at <= $as_of::timestamptz
), numbered AS (
  SELECT from_at, until_at, sum(is_first::int) OVER (ORDER BY from_at, until_at) AS spell FROM marked
), spell AS (
  SELECT min(from_at) AS from_at, max(until_at) AS until_at, spell FROM numbered GROUP BY spell
), closing AS (
  SELECT from_at, until_at, lead(from_at) OVER (ORDER BY from_at) AS next_at FROM spell
), lasting AS MATERIALIZED (
  SELECT session_id, machine, station, badge, started_at, least(end_low, $as_of::timestamptz) AS sure_at, ended_at
  FROM session
  WHERE epoch_us(end_low) - epoch_us(started_at) > $slack_seconds::double * 1e6
    AND ($until::timestamptz IS NULL OR started_at < $until::timestamptz)
    AND ($since::timestamptz IS NULL OR end_low > $since::timestamptz)
), past AS MATERIALIZED (
  SELECT s.*, c.until_at AS closed_at, c.next_at
  FROM lasting AS s
  ASOF JOIN closing AS c ON s.started_at >= c.from_at
  WHERE s.started_at < c.until_at
    AND s.sure_at > c.until_at + to_seconds($slack_seconds::double)
), turned AS (
  SELECT p.session_id, max(least(m.stop_best, p.sure_at)) AS last_at
  FROM past AS p
  JOIN motor AS m ON m.machine = p.machine AND m.started_at < p.sure_at AND m.stop_best > p.started_at
  GROUP BY p.session_id
), near AS MATERIALIZED (
  SELECT machine, started_at, end_low
  FROM session
  WHERE machine IN (SELECT machine FROM past) AND started_at >= $as_of::timestamptz - INTERVAL 365 DAY
), habit AS (
  SELECT n.machine, count_if(n.started_at < c.until_at AND n.end_low > c.until_at + to_seconds($slack_seconds::double)) / count(*) AS share
  FROM near AS n
  ASOF LEFT JOIN closing AS c ON n.started_at >= c.from_at
  GROUP BY n.machine
)
SELECT
  p.session_id,
  p.machine,
  coalesce(m.name, p.machine) AS "machineName",
  p.station,
  p.badge,
  m.hazard,
  p.started_at AS "from",
  p.closed_at AS "closedAt",
  p.sure_at AS "until",
  p.next_at AS "openedAt",
  p.ended_at IS NOT NULL AND p.ended_at <= $as_of::timestamptz AS "isEndSeen",
  t.last_at AS "lastMotorAt",
  EXISTS (SELECT 1 FROM motor AS any_motor WHERE any_motor.machine = p.machine) AS "hasMotor",
  coalesce(h.share, 0) AS "pastClosingShare"
FROM past AS p
LEFT JOIN machine AS m ON m.machine = p.machine
LEFT JOIN turned AS t ON t.session_id = p.session_id
LEFT JOIN habit AS h ON h.machine = p.machine
ORDER BY p.started_at, p.station;
