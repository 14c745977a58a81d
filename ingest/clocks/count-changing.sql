-- How many staged rows lie in an hour that a change leaves out, and how many in one that it repeats.
-- Gives: missing, repeated double.
SELECT (count(*) FILTER (after_seconds > before_seconds))::DOUBLE AS missing, (count(*) FILTER (after_seconds < before_seconds))::DOUBLE AS repeated
FROM log_changing;
