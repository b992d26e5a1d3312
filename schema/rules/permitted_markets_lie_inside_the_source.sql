-- truth: The markets that a statement permits are inside those of its source.
-- wrong: the source is not for this market
-- severity: error
-- A group or source without a market is reported as such.
WITH spoken AS (
    SELECT table_name, row_key, form, list(word) AS words
    FROM towdb_data.cell
    WHERE column_name = 'market'
    GROUP BY table_name, row_key, form
),
permitted AS (
    SELECT DISTINCT e.vehicle_group_id, e.source_id
    FROM towdb_data.eligibility AS e
    WHERE e.permission = 'permitted'
)
SELECT 'vehicle_group' AS "table",
       p.vehicle_group_id AS "key",
       'market' AS "column",
       g.market AS "value",
       p.source_id || ' is for ' || s.market
           || ': keep to that, or cite the manual of the other market' AS "remedy"
FROM permitted AS p
JOIN towdb_data.vehicle_group AS g ON g.vehicle_group_id = p.vehicle_group_id
JOIN towdb_data.source AS s ON s.source_id = p.source_id
JOIN spoken AS inner_cell
    ON inner_cell.table_name = 'vehicle_group' AND inner_cell.row_key = p.vehicle_group_id
JOIN spoken AS outer_cell
    ON outer_cell.table_name = 'source' AND outer_cell.row_key = p.source_id
WHERE g.market IS NOT NULL AND s.market IS NOT NULL
  AND CASE
      WHEN outer_cell.form = 'any' THEN TRUE
      WHEN inner_cell.form = 'any' THEN FALSE
      WHEN outer_cell.form = 'in' AND inner_cell.form = 'in'
          THEN list_has_all(outer_cell.words, inner_cell.words)
      WHEN outer_cell.form = 'in' THEN FALSE
      WHEN inner_cell.form = 'in' THEN NOT list_has_any(outer_cell.words, inner_cell.words)
      -- "not a | b" is inside "not a".
      ELSE list_has_all(inner_cell.words, outer_cell.words)
  END IS NOT TRUE
