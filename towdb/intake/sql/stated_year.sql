-- The groups of recreational statements on four wheels down, a row each model year from $1 to $2.
SELECT g.*, UNNEST(RANGE(GREATEST(g.model_year_from, CAST($1 AS INTEGER)),
                         LEAST(g.model_year_to, CAST($2 AS INTEGER)) + 1)) AS model_year
FROM towdb_data.group_fact AS g
WHERE g.group_no IN (
    SELECT group_no FROM towdb_data.statement_fact
    WHERE is_on_flat_towing = 1
)
  -- A cell of which no leaf is left covers no car.
  AND g.group_no NOT IN (SELECT group_no FROM towdb_data.group_cell WHERE meaning = 'nothing')
