-- truth: A manual, and every source of a permission, states its market and model years.
-- wrong: not known which vehicles this document is for
-- severity: error
-- A bulletin need not state them, but without them nobody could know what it permits.
WITH bounding AS (
    SELECT source_id, market, model_year_from, model_year_to
    FROM towdb_data.source
    WHERE kind IN ('owner_manual', 'manual_supplement')
       OR source_id IN (
           SELECT source_id FROM towdb_data.eligibility WHERE permission = 'permitted'
       )
),
stated AS (
    SELECT source_id, 'market' AS column_name, market AS cell FROM bounding
    UNION ALL
    SELECT source_id, 'model_year_from', CAST(model_year_from AS VARCHAR) FROM bounding
    UNION ALL
    SELECT source_id, 'model_year_to', CAST(model_year_to AS VARCHAR) FROM bounding
)
SELECT 'source' AS "table",
       source_id AS "key",
       column_name AS "column",
       cell AS "value",
       'enter it from the cover or the first pages' AS "remedy"
FROM stated
WHERE (cell IS NOT NULL) IS NOT TRUE
