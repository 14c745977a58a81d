-- Boots stamped more than a minute before the line ahead of them, and lines stamped more than a minute before the one ahead of them
-- at their station though its counter went on.
-- Gives: boots, counted_on double.
SELECT (count(*) FILTER (kind = 'boot' AND occurred_at < before_at - INTERVAL 1 MINUTE))::DOUBLE AS boots,
  (count(*) FILTER (kind <> 'boot' AND occurred_at < own_at - INTERVAL 1 MINUTE AND sequence > own_sequence AND sequence < own_sequence + 1000))::DOUBLE
    AS counted_on
FROM (
  SELECT kind, sequence, occurred_at, lag(occurred_at) OVER (ORDER BY rowid) AS before_at,
    lag(occurred_at) OVER own AS own_at, lag(sequence) OVER own AS own_sequence
  FROM log_stage WHERE state IS NULL
  WINDOW own AS (PARTITION BY station ORDER BY rowid)
);
