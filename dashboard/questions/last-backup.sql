-- The last backup that was made, and read back whole.
-- $zone IANA name.
-- Gives: file varchar, "madeAt" timestamptz, "madeDay" varchar (YYYY-MM-DD by the local clock), bytes double; no row where none was.
SELECT
  path AS "file",
  made_at AS "madeAt",
  strftime(timezone($zone, made_at), '%Y-%m-%d') AS "madeDay",
  bytes::double AS "bytes"
FROM copy_made
WHERE kind = 'backup'
ORDER BY made_at DESC
LIMIT 1;
