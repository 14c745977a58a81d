-- How often the staged log steps back by more than a minute, apart from boots and clocks that were not set.
-- Gives: rows, backward double.
SELECT count(*)::DOUBLE AS rows, (count(*) FILTER (kind <> 'boot' AND occurred_at < before_at - INTERVAL 1 MINUTE))::DOUBLE AS backward
FROM (SELECT kind, occurred_at, lag(occurred_at) OVER () AS before_at FROM log_stage WHERE state IS NULL);
