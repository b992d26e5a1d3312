-- Cars whose VIN gives another model year than their row, or none: the kind of the remark, and the
-- year of the VIN.
SELECT candidate_no,
       CASE WHEN first_year IS NULL THEN 'vin_without_year' ELSE 'vin_of_another_year' END AS kind,
       CASE
           WHEN gvwr_kg > 4536 THEN first_year || ' or ' || (first_year + 30)
           ELSE CAST(likely_year AS VARCHAR)
       END AS said
FROM vin_doubt
WHERE is_vin AND is_other_year
