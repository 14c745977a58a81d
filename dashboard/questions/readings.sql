-- Every reading of a file or live batch, newest first, with what became of its lines.
-- Gives: file varchar, "readAt" timestamptz, lines, stored, duplicates, ignored, blank, rejected, repaired int.
SELECT
  file AS "file",
  read_at AS "readAt",
  lines::int AS "lines",
  stored::int AS "stored",
  duplicates::int AS "duplicates",
  ignored::int AS "ignored",
  blank::int AS "blank",
  rejected::int AS "rejected",
  repaired::int AS "repaired"
FROM reading
ORDER BY read_at DESC, reading_id DESC;
