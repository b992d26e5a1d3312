-- VINs that may be wrong, and what each encodes; over vin_car (candidate_no,
-- value, vin, model_year, gvwr_kg).
-- 49 CFR 565.15(c): letters have values (Table III; I, O and Q none), places have weights (Table
-- IV); the sum of their products modulo 11 is the check digit at place 9, 10 being written X.
-- 49 CFR 565.15(d): the code at place 10 is a model year, and again that of thirty years later.
-- 49 CFR 565.15(b): up to 4,536 kg (10,000 lb) of GVWR place 7 shows which of them: a digit until
-- 2009, a letter from 2010 on.
WITH read AS (
    SELECT candidate_no, value, vin, model_year, gvwr_kg,
           regexp_full_match(vin, '[A-HJ-NPR-Z0-9]{17}') AS is_vin,
           TRY_CAST(translate(vin, 'ABCDEFGHJKLMNPRSTUVWXYZ', '12345678123457923456789') AS BIGINT)
               AS n,
           strpos('ABCDEFGHJKLMNPRSTVWXY123456789', substr(vin, 10, 1)) AS code,
           CASE WHEN substr(vin, 7, 1) BETWEEN '0' AND '9' THEN 0 ELSE 30 END AS later
    FROM vin_car
    -- Older cars needed no VIN of this form.
    WHERE COALESCE(model_year, 1981) >= 1981
),
summed AS (
    SELECT *,
           (n // 10000000000000000 * 8 + n // 1000000000000000 % 10 * 7
            + n // 100000000000000 % 10 * 6 + n // 10000000000000 % 10 * 5
            + n // 1000000000000 % 10 * 4 + n // 100000000000 % 10 * 3
            + n // 10000000000 % 10 * 2 + n // 1000000000 % 10 * 10
            + n // 10000000 % 10 * 9 + n // 1000000 % 10 * 8
            + n // 100000 % 10 * 7 + n // 10000 % 10 * 6
            + n // 1000 % 10 * 5 + n // 100 % 10 * 4
            + n // 10 % 10 * 3 + n % 10 * 2) % 11 AS remainder,
           CASE WHEN code > 0 THEN 1979 + code END AS first_year
    FROM read
),
judged AS (
    SELECT candidate_no, value, vin, model_year, gvwr_kg, is_vin, first_year,
           first_year + later AS likely_year,
           CASE WHEN remainder = 10 THEN 'X' ELSE CAST(remainder AS VARCHAR) END AS check_digit,
           first_year IS NULL
           OR model_year NOT IN (first_year, first_year + 30)
           OR (model_year <> first_year + later AND COALESCE(gvwr_kg, 0) <= 4536)
               AS is_other_year
    FROM summed
)
SELECT *, substr(vin, 9, 1) <> check_digit AS is_other_digit
FROM judged
WHERE NOT is_vin OR substr(vin, 9, 1) <> check_digit OR is_other_year
