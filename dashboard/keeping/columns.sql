-- Columns of one of the store's own tables, in their order.
-- $table varchar.
-- Gives: column_name varchar, is_nullable boolean.
SELECT column_name, is_nullable
FROM duckdb_columns()
WHERE table_name = $table AND NOT internal AND database_name = current_database()
ORDER BY column_index;
