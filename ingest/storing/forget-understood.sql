-- Removes what was noted of places that are read again: rejected again, or the very same line now understood. What stood there in
-- another file of that name stays.
-- $file · $path, $compression, $longest, $spooled as in stage-events.sql.
DELETE FROM reject
WHERE file = $file AND (
  line IN (
    SELECT coalesce(line, rowid - (SELECT min(rowid) FROM log_stage) + 1)
    FROM log_stage WHERE state IS NOT NULL AND state NOT IN ('preamble', 'comment', 'blank', 'ignored')
    UNION ALL
    SELECT line FROM log_session_stage WHERE state IS NOT NULL AND state NOT IN ('comment', 'blank', 'ignored')
  )
  OR EXISTS (
    SELECT 1
    FROM (
      SELECT CASE WHEN $spooled THEN try_cast(string_split(written, chr(30))[1] AS BIGINT) ELSE row_number END AS line,
        CASE WHEN $spooled THEN log_written(string_split(written, chr(30))[4]) ELSE written END AS text
      FROM (
        SELECT row_number() OVER () AS row_number, line AS written
        FROM read_csv($path, columns = {'line': 'VARCHAR'}, header = false, auto_detect = false, delim = e'\x01', quote = '', escape = '',
          max_line_size = $longest, compression = $compression)
      )
    ) AS again
    WHERE again.line = reject.line
      AND (again.text = reject.text
        OR EXISTS (SELECT 1 FROM log_badge WHERE contains(again.text, log_badge.badge) AND replace(again.text, log_badge.badge, log_badge.stored) = reject.text))
  )
);
