-- Notes every row of the log that was not understood, with why.
-- $reading id · $file · $line_offset added to line numbers · $reasons JSON list of {state, field, reason}, {value} standing for the
-- value at fault · $hides whether badges may not be told: where nobody knows which cell the badge is, everything with a digit gives
-- way. A badge that is stored as something else gives way to that.
INSERT INTO reject (reading_id, file, line, text, reason, field)
WITH reasons AS (
  SELECT unnest(from_json($reasons, '[{"state": "VARCHAR", "field": "VARCHAR", "reason": "VARCHAR"}]'), recursive := true)
), bad AS (
  SELECT coalesce(line, rowid - (SELECT min(rowid) FROM log_stage) + 1) AS line, state, wrong, text, badge
  FROM log_stage WHERE state IS NOT NULL AND state NOT IN ('preamble', 'comment', 'blank', 'ignored')
  UNION ALL
  SELECT line, state, wrong, text, badge FROM log_session_stage WHERE state IS NOT NULL AND state NOT IN ('comment', 'blank', 'ignored')
), told AS (
  SELECT bad.*, reasons.field,
    CASE WHEN wrong IS NULL THEN reasons.reason ELSE replace(reasons.reason, '{value}', '"' || wrong || '"') END AS reason, b.stored
  FROM bad JOIN reasons USING (state) LEFT JOIN log_badge AS b ON b.badge = bad.badge
)
SELECT $reading::INTEGER, $file, line + $line_offset,
  CASE WHEN badge IS NOT NULL AND stored <> badge THEN replace(text, badge, stored) WHEN NOT $hides THEN text
       WHEN state IN ('width', 'quote', 'long', 'json') THEN regexp_replace(text, '\w*\d\w*', '•', 'g') ELSE text END,
  CASE WHEN badge IS NOT NULL AND stored <> badge THEN replace(reason, badge, stored) ELSE reason END, field
FROM told
ORDER BY line;
