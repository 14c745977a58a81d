-- Every reading of a file or live batch, newest first, with what became of its lines.
-- $zone IANA name.
-- Gives: file varchar, "readAt" timestamptz, "readDay" (YYYY-MM-DD), "readClock" (HH:MM) varchar by the local clock, lines, stored, duplicates, ignored, blank, rejected, repaired int.
SELECT
  file AS "file",
  read_at AS "readAt",
  strftime(timezone($zone, read_at), '%Y-%m-%d') AS "readDay",
  strftime(timezone($zone, read_at), '%H:%M') AS "readClock",
  lines::int AS "lines",
  stored::int AS "stored",
  duplicates::int AS "duplicates",
  ignored::int AS "ignored",
  blank::int AS "blank",
  rejected::int AS "rejected",
  repaired::int AS "repaired"
FROM reading
ORDER BY read_at DESC, reading_id DESC;
