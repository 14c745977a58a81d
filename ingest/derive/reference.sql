-- The lengths by which each machine's unseen ends are judged: its own, of its group where it has fewer than 20, of the shop
-- where the group has fewer too. Its longest seen session is its own where it has one.
-- Without any seen session in the log: a mean of one hour and a longest of twelve.
-- $seed varchar. Reads machine_length, machine_pause, machine, judged_machine, normal_score, shuffle. Makes reference: machine,
-- longest_seconds, mean_seconds, lengths (ascending), odds: by what the odds of ending earlier are off in each joint world, since
-- the reference itself is a sample (null from 4,096 sessions on), and pauses: how many, by bin and whether the same badge came next.
CREATE OR REPLACE TEMP TABLE reference AS
WITH wanted AS (
  SELECT DISTINCT machine, coalesce(group_id, machine) AS group_id
  FROM (SELECT machine FROM judged_machine UNION SELECT machine FROM machine_length) LEFT JOIN machine USING (machine)
), known AS (
  SELECT machine, group_id, sessions, longest_seconds, reference_sessions, lengths
  FROM wanted JOIN machine_length USING (machine)
), by_group AS (
  SELECT group_id, sum(sessions) AS sessions, sum(reference_sessions) AS reference_sessions, max(longest_seconds) AS longest_seconds,
    flatten(list(lengths ORDER BY machine)) AS lengths
  FROM known GROUP BY group_id
), shop AS (
  SELECT sum(reference_sessions) AS reference_sessions, max(longest_seconds) AS longest_seconds,
    flatten(list(lengths ORDER BY machine)) AS lengths
  FROM known
), chosen AS (
  SELECT
    wanted.machine,
    CASE WHEN known.sessions >= 20 THEN 'machine:' || wanted.machine
      WHEN by_group.sessions >= 20 THEN 'group:' || wanted.group_id ELSE 'shop' END AS source,
    coalesce(known.longest_seconds, by_group.longest_seconds, shop.longest_seconds, 43200) AS longest_seconds,
    CASE WHEN known.sessions >= 20 THEN known.lengths WHEN by_group.sessions >= 20 THEN by_group.lengths ELSE shop.lengths END AS lengths,
    CASE WHEN known.sessions >= 20 THEN known.reference_sessions WHEN by_group.sessions >= 20 THEN by_group.reference_sessions ELSE shop.reference_sessions END AS reference_sessions
  FROM wanted LEFT JOIN known USING (machine) LEFT JOIN by_group ON by_group.group_id = wanted.group_id CROSS JOIN shop
), shared AS MATERIALIZED (
  -- What machines have in common is weighed once for all of them.
  SELECT source, any_value(lengths) AS lengths, any_value(reference_sessions) AS reference_sessions FROM chosen GROUP BY source
), one AS (
  SELECT source, unnest(lengths) AS seconds FROM shared
), numbered AS (
  SELECT source, seconds, row_number() OVER (PARTITION BY source ORDER BY seconds) AS place, count(*) OVER (PARTITION BY source) AS many
  FROM one
), short AS (
  -- Of more than 512 every so many: a group's are too many to carry about.
  SELECT source, list(seconds ORDER BY seconds) AS lengths
  FROM (
    SELECT source, seconds,
      unnest(range(ceil(512.0 * (place - 1) / many - 0.5)::bigint, ceil(512.0 * place / many - 0.5)::bigint)) AS of_them
    FROM numbered
  )
  GROUP BY source
), paused AS (
  SELECT source, list({'same_badge': same_badge, 'bin': bin, 'pauses': pauses} ORDER BY same_badge, bin) AS pauses
  FROM (
    SELECT source, same_badge, bin, sum(pauses)::bigint AS pauses
    FROM (
      SELECT 'machine:' || machine AS source, machine FROM wanted
      UNION ALL
      SELECT 'group:' || group_id, machine FROM wanted
      UNION ALL
      SELECT 'shop', machine FROM wanted
    ) JOIN machine_pause USING (machine)
    WHERE source IN (SELECT source FROM shared)
    GROUP BY source, same_badge, bin
  )
  GROUP BY source
), lucky AS (
  SELECT source, reference_sessions, coalesce(short.lengths, []) AS lengths, coalesce(paused.pauses, []) AS pauses,
    md5_number_lower(concat('reference:', source, ':', $seed::varchar)) AS luck
  FROM shared LEFT JOIN short USING (source) LEFT JOIN paused USING (source)
), first AS MATERIALIZED (
  -- One order after the other: joined in one go, a plan may cross the three of them before it looks at luck.
  SELECT lucky.*, a.places AS first_places FROM lucky JOIN shuffle AS a ON a.number = luck % 256
), second AS MATERIALIZED (
  SELECT first.*, b.places AS second_places FROM first JOIN shuffle AS b ON b.number = 256 + (luck >> 8) % 256
), third AS MATERIALIZED (
  SELECT second.*, c.places AS third_places FROM second JOIN shuffle AS c ON c.number = 512 + (luck >> 16) % 256
)
SELECT chosen.machine, chosen.longest_seconds, greatest(1, coalesce(list_avg(third.lengths), 3600)) AS mean_seconds, third.lengths,
  -- A share's logit errs by about 1.8 times a normal score over the root of the number.
  CASE WHEN coalesce(third.reference_sessions, 1) < 4096 THEN
    list_transform(list_select(first_places, list_select(second_places, third_places)), lambda place:
      exp(1.8 / sqrt(greatest(coalesce(third.reference_sessions, 1), 1)) * normal_score.scores[place])) END AS odds,
  third.pauses
FROM chosen JOIN third USING (source) CROSS JOIN normal_score
