-- The store's own tables.
-- Gives: name varchar.
SELECT table_name AS "name" FROM duckdb_tables() WHERE NOT temporary AND NOT internal ORDER BY table_name;
