-- Every column of text in the store's own tables, and what a badge or a person can be in it: `badge` and `person` hold one as a
-- whole, `words` may hold one among others, `json` likewise within quotes, `other` only where it can't be mistaken.
-- Gives: table_name, column_name, holds varchar.
SELECT
  c.table_name,
  c.column_name,
  CASE
    WHEN c.table_name IN ('trail', 'forgotten', 'copy_made', 'meta', 'account', 'visit', 'token', 'sign_in_try')
      THEN CASE WHEN c.table_name = 'trail' AND c.column_name = 'detail' THEN 'json' ELSE 'never' END
    WHEN c.column_name IN ('badge', 'stored') THEN 'badge'
    WHEN c.column_name = 'person' THEN 'person'
    WHEN c.column_name IN ('figures', 'message', 'evidence', 'readings') THEN 'json'
    WHEN c.column_name IN ('text', 'original', 'detail', 'note', 'reason', 'repair', 'problem', 'why', 'wrong') THEN 'words'
    ELSE 'other'
  END AS holds
FROM duckdb_columns() AS c
JOIN duckdb_tables() AS t ON t.table_oid = c.table_oid AND t.database_oid = c.database_oid
WHERE c.data_type = 'VARCHAR' AND NOT c.internal AND NOT t.temporary AND c.database_name = current_database()
ORDER BY c.table_name, c.column_name;
