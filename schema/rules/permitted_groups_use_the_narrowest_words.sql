-- truth: A permission names drivetrain, transmission and transfer case by the narrowest words.
-- wrong: a permission that uses a broad word
-- severity: error
WITH broad AS (
    SELECT vocabulary, word, string_agg(leaf, ', ' ORDER BY leaf) AS leaves
    FROM towdb_data.leaf
    WHERE leaf <> word
    GROUP BY vocabulary, word
)
SELECT 'vehicle_group' AS "table",
       c.row_key AS "key",
       c.column_name AS "column",
       c.word AS "value",
       'name those that the page means, from ' || any_value(b.leaves) AS "remedy"
FROM towdb_data.cell AS c
JOIN towdb_data.eligibility AS e
    ON e.vehicle_group_id = c.row_key AND e.permission = 'permitted'
LEFT JOIN broad AS b ON b.vocabulary = c.column_name AND b.word = c.word
WHERE c.table_name = 'vehicle_group'
  AND c.column_name IN ('drivetrain', 'transmission', 'transfer_case')
  AND (b.word IS NULL) IS NOT TRUE
GROUP BY c.row_key, c.column_name, c.word
