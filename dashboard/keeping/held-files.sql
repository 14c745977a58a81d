-- Files and live sources of which lines of these badges are stored, or were rejected with one of them in the text.
-- $badges JSON list of badges as stored · $words JSON list of texts that tell them in a rejected line.
-- Gives: file varchar, lines int, "readAt" timestamptz of the first such reading.
WITH badges AS (
  SELECT unnest(from_json($badges, '["VARCHAR"]')) AS badge
), words AS (
  SELECT unnest(from_json($words, '["VARCHAR"]')) AS word
), found AS (
  SELECT reading_id FROM event WHERE badge IN (SELECT badge FROM badges)
  UNION ALL
  SELECT reading_id FROM stretch WHERE badge IN (SELECT badge FROM badges)
  UNION ALL
  SELECT reading_id FROM reject WHERE EXISTS (SELECT 1 FROM words WHERE contains(reject.text, words.word))
)
SELECT reading.file AS "file", count(*)::int AS "lines", min(reading.read_at) AS "readAt"
FROM found JOIN reading USING (reading_id)
GROUP BY reading.file
ORDER BY min(reading.read_at), reading.file;
