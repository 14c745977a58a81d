-- Makes the temporary table hours_cover from the roll-ups.
-- $machine varchar, null = all.
-- Gives the table: machine varchar, from_at, until_at timestamptz.
CREATE OR REPLACE TEMP TABLE hours_cover AS
SELECT machine, from_at, until_at FROM rollup_cover WHERE $machine::varchar IS NULL OR machine = $machine::varchar;
