-- Some rejects of a file and header, in the order of their lines.
-- $file · $header JSON list or null · $after line · $limit rows.
-- Gives: line double, text varchar.
SELECT reject.line::DOUBLE AS line, reject.text
FROM reject LEFT JOIN reading USING (reading_id)
WHERE reject.file = $file AND reading.header IS NOT DISTINCT FROM $header AND reject.line > $after
ORDER BY reject.line LIMIT $limit;
