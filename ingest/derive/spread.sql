-- Where the hundred quantiles of so many ascending values stand. Makes spread: number, places (1 to number).
CREATE TEMP TABLE IF NOT EXISTS spread AS
SELECT number, [1 + floor((k + 0.5) / 100 * number)::bigint FOR k IN range(100)] AS places
FROM range(1, 513) AS numbers(number)
