-- truth: Two figures of one quantity agree within 2 %, temperatures within 2 degF.
-- wrong: the two figures differ by more than rounding
-- severity: warning
SELECT b.table_name AS "table",
       b.row_key AS "key",
       b.column_name AS "column",
       b.value AS "value",
       a.value || ' ' || a.unit || ' would be '
           || CAST((a.canonical - u."offset") / u.factor AS DECIMAL(18, 1)) || ' ' || b.unit
           || ': compare both with the page' AS "remedy"
FROM towdb_data.figure AS a
JOIN towdb_data.figure AS b
    ON b.table_name = a.table_name AND b.row_key = a.row_key AND b.dimension = a.dimension
JOIN towdb_data.unit AS u ON u.name = b.unit
WHERE b.column_name = 'also_' || a.column_name
  AND CASE
      WHEN a.dimension = 'temperature' THEN abs(a.canonical - b.canonical) <= 2
      ELSE 100 * abs(a.canonical - b.canonical)
          <= 2 * greatest(abs(a.canonical), abs(b.canonical))
  END IS NOT TRUE
