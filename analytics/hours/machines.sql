-- The machines of the workshop file with what was typed about their run factor.
-- $machine varchar, null = all.
-- Gives: machine varchar, kind varchar, low, best, high double, fixed boolean.
SELECT machine, kind, run_factor_low AS low, run_factor_best AS best, run_factor_high AS high, run_factor_fixed AS fixed
FROM machine
WHERE $machine::varchar IS NULL OR machine = $machine::varchar
ORDER BY ordinal;
