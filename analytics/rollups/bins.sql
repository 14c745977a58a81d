-- Stretches of thirty days in which sessions or motor events are not what they were when they were rolled up.
-- $forget boolean: as if nothing were rolled up.
-- Gives: from_at, until_at varchar (timestamptz): from the stretch's start to the latest end, then or now, of what began in it.
WITH now_bin AS (
  SELECT bin, (sum(part) % 9223372036854775807)::ubigint AS checksum, max(reach) AS reach
  FROM (
    SELECT
      epoch_us(started_at) // 2592000000000 AS bin,
      hash(session_id, machine, badge, started_at, ended_at, ended, end_best, end_high, starts, end_draws)::hugeint AS part,
      greatest(end_high, ended_at, end_best, started_at + to_microseconds((list_max(end_draws) * 1e6)::bigint)) AS reach
    FROM session
    UNION ALL
    SELECT
      epoch_us(started_at) // 2592000000000,
      hash(machine, station, started_at, stopped_at, stop_low, stop_best, stop_high)::hugeint,
      greatest(stop_high, stopped_at)
    FROM motor
  )
  GROUP BY bin
)
SELECT
  make_timestamptz((coalesce(n.bin, o.bin) * 2592000000000)::bigint)::varchar AS from_at,
  greatest(n.reach, o.reach)::varchar AS until_at
FROM now_bin n
FULL JOIN (SELECT * FROM rollup_bin WHERE NOT $forget) o ON o.bin = n.bin
WHERE n.checksum IS DISTINCT FROM o.checksum OR n.reach IS DISTINCT FROM o.reach
ORDER BY 1;
