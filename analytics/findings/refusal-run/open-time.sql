-- How long the log goes up to the as-of time, and how much of that the doors were open.
-- $as_of timestamptz.
-- Gives: "logSeconds", "openSeconds" double, 0 where there is nothing.
WITH edge AS (
  SELECT min(occurred_at) AS from_at, $as_of::timestamptz AS until_at FROM event
)
SELECT
  coalesce(any_value((epoch_us(e.until_at) - epoch_us(e.from_at)) / 1e6), 0) AS "logSeconds",
  coalesce(
    sum(greatest(0, epoch_us(least(o.until_at, e.until_at)) - epoch_us(greatest(o.from_at, e.from_at)))) / 1e6,
    0
  )::double AS "openSeconds"
FROM edge AS e
LEFT JOIN opening AS o ON o.from_at < e.until_at AND o.until_at > e.from_at;
