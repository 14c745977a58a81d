-- Whether the nightly backup has still to be made: none stands in its folder since the hour at which one is wanted last passed.
-- $zone IANA name · $now timestamptz · $hour HH:MM by the local clock · $folder with its last separator.
-- Gives: is_due boolean, day varchar (YYYY-MM-DD by the local clock).
WITH local AS (
  SELECT timezone($zone, $now::timestamptz) AS here
), wanted AS (
  SELECT here, here::date + $hour::time - CASE WHEN here::time < $hour::time THEN interval 1 day ELSE interval 0 day END AS last_hour
  FROM local
)
SELECT
  NOT EXISTS (
    SELECT 1 FROM copy_made
    WHERE kind = 'backup' AND starts_with(path, $folder) AND made_at >= timezone($zone, last_hour) AND made_at <= $now::timestamptz
  ) AS is_due,
  strftime(here, '%Y-%m-%d') AS day
FROM wanted;
