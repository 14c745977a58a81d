-- The id of the next reading, and how many lines earlier readings of that name had.
-- $file.
-- Gives: reading, lines double.
SELECT (SELECT coalesce(max(reading_id), 0) + 1 FROM reading)::DOUBLE AS reading,
  (SELECT coalesce(sum(lines), 0) FROM reading WHERE file = $file)::DOUBLE AS lines;
