-- How many lengths of a reference are no longer than each of its lengths.
-- Reads reference. Makes reference_rank: machine, seconds, upto bigint.
CREATE OR REPLACE TEMP TABLE reference_rank AS
SELECT machine, seconds, max(rank) AS upto
FROM (SELECT machine, unnest(lengths) AS seconds, generate_subscripts(lengths, 1) AS rank FROM reference)
GROUP BY machine, seconds
