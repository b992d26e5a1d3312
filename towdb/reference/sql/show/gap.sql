-- The model years of a model ($1, $2) between the first and the last on record, and the year requested
-- ($3), of which no page on towing with four wheels down behind another vehicle is on record.
WITH spoken AS (
    SELECT DISTINCT unnest(range(s.model_year_from, s.model_year_to + 1)) AS year
    FROM towdb_data.statement AS s
    JOIN towdb_data.statement_fact AS f ON f.eligibility_id = s.eligibility_id
    WHERE fold(s.make) = fold($1)
      AND fold(s.model) = fold($2)
      AND f.is_on_flat_towing = 1
),
wanted_year AS (
    SELECT unnest(range(min(model_year_from), max(model_year_to) + 1)) AS year
    FROM towdb_data.vehicle_group
    WHERE fold(make) = fold($1)
      AND fold(model) = fold($2)
      AND $3::INTEGER IS NULL
    UNION
    SELECT $3::INTEGER WHERE $3::INTEGER IS NOT NULL
)
SELECT year FROM wanted_year WHERE year NOT IN (SELECT year FROM spoken) ORDER BY year
