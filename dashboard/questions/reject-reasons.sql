-- Rejected lines by reason, values and figures at fault left out of it; the commonest first.
-- $shown int: how many lines of each to give along, by file and line.
-- Gives: reason, field varchar, rejects, files int, "lines" varchar: JSON list of {"file", "line", "text", "reason"}.
WITH kinds AS (
  SELECT
    regexp_replace(regexp_replace(reason, '"[^"]*"', '…', 'g'), '\b\d[\d.:,-]*\b', '…', 'g') AS kind,
    *,
    row_number() OVER (PARTITION BY kind, field ORDER BY file, line) AS place
  FROM reject
)
SELECT
  CASE WHEN count(*) = 1 THEN min(reason) ELSE kind END AS "reason",
  field AS "field",
  count(*)::int AS "rejects",
  count(DISTINCT file)::int AS "files",
  to_json(
    list({'file': file, 'line': line, 'text': text, 'reason': reason} ORDER BY file, line) FILTER (WHERE place <= $shown)
  )::varchar AS "lines"
FROM kinds
GROUP BY kind, field
ORDER BY "rejects" DESC, "reason";
