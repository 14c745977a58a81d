-- Fetches the text of staged rows that turned out to need it, by a second look at the file.
-- $path, $compression, $longest, $spooled as in stage-events.sql · $rows JSON list of row numbers from 0.
UPDATE log_stage SET text = source.text
FROM (
  SELECT row_number + (SELECT min(rowid) FROM log_stage) AS staged_row,
    CASE WHEN $spooled THEN log_written(string_split(line, chr(30))[4]) ELSE line END AS text
  FROM (
    SELECT row_number() OVER () - 1 AS row_number, line
    FROM read_csv($path, columns = {'line': 'VARCHAR'}, header = false, auto_detect = false, delim = e'\x01', quote = '', escape = '',
      max_line_size = $longest, compression = $compression)
  )
  WHERE row_number IN (SELECT unnest(($rows::JSON)::BIGINT[]))
) AS source
WHERE log_stage.rowid = source.staged_row;
