-- How many of a machine's seen sessions its reference must have: all of few, of many the number's first five binary digits.
CREATE OR REPLACE TEMP MACRO reference_size(sessions) AS
  CASE WHEN sessions < 512 THEN sessions
    ELSE (sessions >> (floor(log2(sessions))::integer - 4)) << (floor(log2(sessions))::integer - 4) END
