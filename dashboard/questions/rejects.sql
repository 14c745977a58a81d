-- Every line that was not understood, once for each place, in order of file and line.
-- Gives: file varchar, line int, text, reason, field varchar.
SELECT file AS "file", line::int AS "line", text AS "text", reason AS "reason", field AS "field"
FROM reject
ORDER BY file, line;
