-- How likely each pause is per second, by who comes next, where a machine's lengths are judged: its own pauses or those of its
-- group or the shop, as with lengths. Few pauses of one kind lean on those of both (ten of them), and these on any pause being
-- as likely as one e times as long (fifteen of them).
-- Reads reference. Makes pause_density: machine, next_badge (same, other, any), bin, density.
CREATE OR REPLACE TEMP TABLE pause_density AS
WITH bin AS (
  SELECT number::integer AS bin, exp((number + 1) / 4.0) - CASE WHEN number = 2 THEN 0 ELSE exp(number / 4.0) END AS seconds
  FROM (SELECT unnest(range(2, 61)) AS number)
), counted AS (
  SELECT machine, unnest(pauses, recursive := true) FROM reference
), whole AS MATERIALIZED (
  SELECT reference.machine, bin.bin, bin.seconds,
    coalesce(sum(counted.pauses), 0) AS both_many, coalesce(sum(counted.pauses) FILTER (same_badge), 0) AS same_many
  FROM reference CROSS JOIN bin LEFT JOIN counted ON counted.machine = reference.machine AND counted.bin = bin.bin
  GROUP BY reference.machine, bin.bin, bin.seconds
), shares AS (
  SELECT *, (both_many + 0.25) / (sum(both_many) OVER (PARTITION BY machine) + 14.75) AS share,
    sum(same_many) OVER (PARTITION BY machine) AS same_all,
    sum(both_many - same_many) OVER (PARTITION BY machine) AS other_all
  FROM whole
)
SELECT machine, 'any' AS next_badge, bin, share / seconds AS density FROM shares
UNION ALL
SELECT machine, 'same', bin, (same_many + 10 * share) / (same_all + 10) / seconds FROM shares
UNION ALL
SELECT machine, 'other', bin, (both_many - same_many + 10 * share) / (other_all + 10) / seconds FROM shares
