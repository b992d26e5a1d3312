-- truth: A mass has at most two decimals in pounds, or six of a kilogram, and is below 10,000 t.
-- wrong: more digits than a mass can have
-- severity: error
-- Within these bounds every comparison of weights is exact.
SELECT table_name AS "table",
       row_key AS "key",
       column_name AS "column",
       value AS "value",
       'write at most two decimals of lb or six of kg, and less than 10,000,000 kg;'
           || ' look at the page again' AS "remedy"
FROM towdb_data.figure
WHERE dimension = 'mass'
  AND (
      abs(canonical) < 10000000
      AND CASE
          WHEN unit = 'lb' THEN value = round(value, 2)
          ELSE canonical = round(canonical, 6)
      END
  ) IS NOT TRUE
