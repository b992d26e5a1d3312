-- truth: Every figure has its unit beside it, and every unit its figure.
-- wrong: a figure and its unit go together
-- severity: error
SELECT table_name AS "table",
       row_key AS "key",
       CASE WHEN unit IS NULL THEN unit_column ELSE column_name END AS "column",
       NULL AS "value",
       CASE
           WHEN unit IS NULL THEN 'enter the unit that the page prints, or remove the figure'
           ELSE 'enter the figure, or remove the unit ' || unit
       END AS "remedy"
FROM towdb_data.figure_cell
WHERE ((value IS NULL) = (unit IS NULL)) IS NOT TRUE
