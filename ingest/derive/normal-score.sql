-- The hundred strata's middles on the normal scale. $scores varchar: JSON list. Makes normal_score: scores double[].
CREATE TEMP TABLE IF NOT EXISTS normal_score AS SELECT $scores::json::double[] AS scores
