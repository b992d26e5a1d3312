-- What is wrong with VINs, over vin_doubt. Only one that cannot be a VIN is an error: markets differ
-- in their other requirements, and no verdict rests on one.
SELECT candidate_no, 'vin' AS column_name, value, 'vin_form' AS rule, 'error' AS severity,
       CASE
           WHEN length(vin) <> 17 THEN length(vin) || ' characters, a VIN has 17'
           WHEN NOT regexp_full_match(vin, '[A-Z0-9]*')
               THEN 'has characters other than A to Z and 0 to 9'
           ELSE 'has I, O or Q, which no VIN has'
       END AS message,
       'copy it again from the car; 1 and 0 are digits in a VIN' AS remedy
FROM vin_doubt
WHERE NOT is_vin
UNION ALL
SELECT candidate_no, 'vin', value, 'vin_check_digit', 'warning',
       'place 9 is ' || substr(vin, 9, 1) || ', but the check digit is ' || check_digit,
       'copy it again from the car; only some markets require a check digit'
FROM vin_doubt
WHERE is_vin AND is_other_digit
UNION ALL
SELECT candidate_no, 'vin', value, 'vin_model_year', 'warning',
       CASE
           WHEN first_year IS NULL
               THEN 'place 10 is ' || substr(vin, 10, 1) || ', which is not the code of a model year'
           WHEN gvwr_kg > 4536
               THEN 'it gives ' || first_year || ' or ' || (first_year + 30) || ', the row '
                    || model_year
           ELSE 'it gives ' || likely_year || ', the row ' || model_year
       END,
       CASE
           WHEN gvwr_kg IS NULL AND model_year IN (first_year, first_year + 30)
               THEN 'compare both with the car; above 10,000 lb of GVWR both may be right'
           ELSE 'compare both with the car'
       END
FROM vin_doubt
WHERE is_vin AND is_other_year
