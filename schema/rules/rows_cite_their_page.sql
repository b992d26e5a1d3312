-- truth: Every row names its source, the place in it and its words, unless it is common practice.
-- wrong: the citation is incomplete
-- severity: error
WITH cited AS (
    SELECT table_name, row_key, basis, 'source_id' AS column_name, source_id AS cell
    FROM towdb_data.entry_row
    UNION ALL
    SELECT table_name, row_key, basis, 'locator', locator FROM towdb_data.entry_row
    UNION ALL
    SELECT table_name, row_key, basis, 'quote', quote FROM towdb_data.entry_row
)
SELECT table_name AS "table",
       row_key AS "key",
       column_name AS "column",
       cell AS "value",
       'fill it in from the page; only common practice may be without' AS "remedy"
FROM cited
WHERE table_name <> 'source' AND (basis = 'common_practice' OR cell IS NOT NULL) IS NOT TRUE
