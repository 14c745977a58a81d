-- Notes a reading with its five counts.
-- $reading id · $file · $profile JSON · $header JSON list or null · $lines, $stored, $duplicates, $ignored, $blank, $rejected, $repaired.
INSERT INTO reading (reading_id, file, profile, read_at, lines, stored, duplicates, ignored, blank, rejected, repaired, header)
VALUES ($reading::INTEGER, $file, $profile, now(), $lines, $stored, $duplicates, $ignored, $blank, $rejected, $repaired, $header);
