-- How the lines of each reading are to be read: mode station (a badge holder), elsewhere (a badge's stretch ends where it is
-- read next) or sessions (believed as written).
-- Makes reading_mode: reading_id, mode, first_at (filled where the order of readings matters).
CREATE OR REPLACE TEMP TABLE reading_mode AS
SELECT
  reading_id,
  CASE
    WHEN profile ->> '$.rows' = 'sessions' THEN 'sessions'
    WHEN profile ->> '$.ends' = 'badge-elsewhere' THEN 'elsewhere'
    ELSE 'station'
  END AS mode,
  NULL::timestamptz AS first_at
FROM (SELECT reading_id, CASE WHEN json_valid(profile) THEN profile::json END AS profile FROM reading)
