-- The orders of shuffles.ts. $shuffles varchar: JSON list of lists. Makes shuffle: number (from 0), places (1 to DRAWS).
CREATE TEMP TABLE IF NOT EXISTS shuffle AS
SELECT (row_number() OVER () - 1)::ubigint AS number, places::bigint[] AS places
FROM (SELECT unnest($shuffles::json[]) AS places)
