-- The store's own tables.
-- Gives: name varchar.
SELECT table_name AS "name" FROM duckdb_tables() WHERE NOT temporary AND NOT internal AND database_name = current_database() ORDER BY table_name;
