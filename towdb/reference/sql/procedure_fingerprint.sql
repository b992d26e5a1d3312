-- The procedure of a permitting statement, its steps and its limits, as a number, so that equal
-- procedures are known to be one. A limit printed in two units is the stricter of the two.
-- fingerprint_no: dense number; equal numbers are equal procedures
WITH permitting AS (
    SELECT s.statement_no, e.eligibility_id,
           COALESCE(e.same_steps_as, e.eligibility_id) AS steps_of
    FROM towdb_data.statement_fact AS s
    JOIN towdb_data.eligibility AS e ON e.eligibility_id = s.eligibility_id
    WHERE s.stance = 'permits'
),
span AS (
    SELECT table_name, row_key, dimension, MIN(canonical) AS low, MAX(canonical) AS high
    FROM towdb_data.figure
    WHERE column_name IN ('value', 'also_value')
    GROUP BY table_name, row_key, dimension
),
one_limit AS (
    SELECT l.eligibility_id, l.alternative_no,
           CONCAT_WS(chr(31), l.quantity, l.bound, l.scope, l.stated,
                     COALESCE(
                         CAST(CASE l.bound WHEN 'at_least' THEN v.high ELSE v.low END AS VARCHAR),
                         ''
                     )) AS said
    FROM towdb_data.towing_limit AS l
    LEFT JOIN span AS v ON v.table_name = 'towing_limit' AND v.row_key = l.towing_limit_id
),
together AS (
    SELECT eligibility_id,
           CASE WHEN alternative_no IS NULL THEN 'always:' ELSE 'or:' END
               || STRING_AGG(DISTINCT said, chr(30) ORDER BY said) AS said
    FROM one_limit
    GROUP BY eligibility_id, alternative_no
),
limits AS (
    SELECT eligibility_id, STRING_AGG(DISTINCT said, chr(29) ORDER BY said) AS said
    FROM together
    GROUP BY eligibility_id
)
SELECT p.statement_no,
       CAST(DENSE_RANK() OVER (ORDER BY t.fingerprint, l.said) AS INTEGER) AS fingerprint_no
FROM permitting AS p
LEFT JOIN towdb_data.steps_fingerprint AS t ON t.eligibility_id = p.steps_of
LEFT JOIN limits AS l ON l.eligibility_id = p.eligibility_id
ORDER BY p.statement_no
