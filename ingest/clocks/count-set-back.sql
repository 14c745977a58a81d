-- Boots stamped more than a minute before the line ahead of them.
-- Gives: boots double.
SELECT count(*)::DOUBLE AS boots
FROM (SELECT kind, occurred_at, lag(occurred_at) OVER () AS before_at FROM log_stage WHERE state IS NULL)
WHERE kind = 'boot' AND occurred_at < before_at - INTERVAL 1 MINUTE;
