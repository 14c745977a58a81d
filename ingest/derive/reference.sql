-- The lengths by which each machine's unseen ends are judged: its own, of its group where it has fewer than 20, of the shop
-- where the group has fewer too. Its longest seen session is its own where it has one.
-- Without any seen session in the log: a mean of one hour and a longest of twelve.
-- Reads machine_length, machine, unseen. Makes reference: machine, longest_seconds, mean_seconds, lengths (ascending).
CREATE OR REPLACE TEMP TABLE reference AS
WITH wanted AS (
  SELECT DISTINCT machine, coalesce(group_id, machine) AS group_id
  FROM (SELECT machine FROM unseen UNION SELECT machine FROM machine_length) LEFT JOIN machine USING (machine)
), known AS (
  SELECT machine, group_id, sessions, longest_seconds, sample FROM wanted JOIN machine_length USING (machine)
), one AS (
  SELECT machine, group_id, sessions, longest_seconds, unnest(sample) AS kept FROM known
), by_group AS (
  SELECT group_id, (SELECT sum(sessions) FROM known WHERE known.group_id = one.group_id) AS sessions,
    max(longest_seconds) AS longest_seconds, arg_min(kept.seconds, kept.session_id, 256) AS seconds
  FROM one GROUP BY group_id
), shop AS (
  SELECT max(longest_seconds) AS longest_seconds, arg_min(kept.seconds, kept.session_id, 256) AS seconds
  FROM one
), chosen AS (
  SELECT
    wanted.machine,
    coalesce(known.longest_seconds, by_group.longest_seconds, shop.longest_seconds, 43200) AS longest_seconds,
    list_sort(CASE
      WHEN known.sessions >= 20 THEN [kept.seconds FOR kept IN known.sample]
      WHEN by_group.sessions >= 20 THEN by_group.seconds
      ELSE coalesce(shop.seconds, []) END) AS lengths
  FROM wanted LEFT JOIN known USING (machine) LEFT JOIN by_group ON by_group.group_id = wanted.group_id CROSS JOIN shop
)
SELECT machine, longest_seconds, greatest(1, coalesce(list_avg(lengths), 3600)) AS mean_seconds, lengths FROM chosen
