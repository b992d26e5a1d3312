-- The statements on some models of a make ($1, $2), or on one model year ($3) of them.
SELECT s.*, f.statement_no
FROM towdb_data.statement AS s
JOIN towdb_data.statement_fact AS f ON f.eligibility_id = s.eligibility_id
WHERE fold(s.make) = fold($1)
  AND list_contains(
      list_transform($2::VARCHAR[], lambda name: fold(name)), fold(s.model)
  )
  AND ($3::INTEGER IS NULL OR $3 BETWEEN s.model_year_from AND s.model_year_to)
