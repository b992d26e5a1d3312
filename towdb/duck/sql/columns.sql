-- The columns of the tables and views of an attached file ($1), and their defaults.
SELECT schema_name, table_name, column_name, data_type, column_default
FROM duckdb_columns()
WHERE database_name = $1
ORDER BY schema_name, table_name, column_index
