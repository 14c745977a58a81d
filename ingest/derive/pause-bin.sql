-- Pauses by length: from two seconds on, four bins to a factor of e; number 60 holds all beyond a month.
CREATE OR REPLACE TEMP MACRO pause_bin(seconds) AS least(60, floor(4 * ln(greatest(seconds, 2)))::integer)
