-- What an attached file ($1) contains besides tables: each could run, or be called in place of what
-- towdb calls. Views and macros that are marked internal count: the mark is part of the file.
SELECT 'view' AS what, view_name AS name FROM duckdb_views() WHERE database_name = $1
UNION ALL
SELECT 'macro', function_name FROM duckdb_functions() WHERE database_name = $1
UNION ALL
SELECT 'index', index_name FROM duckdb_indexes() WHERE database_name = $1
UNION ALL
SELECT 'sequence', sequence_name FROM duckdb_sequences() WHERE database_name = $1
UNION ALL
SELECT 'type', type_name FROM duckdb_types() WHERE database_name = $1 AND NOT internal
ORDER BY what, name
