-- The statements that are shown, in the order in which people read them, with what names itself in
-- the place of each.
WITH named AS (
    SELECT o.target_no,
           string_agg(
               f.eligibility_id || CASE WHEN f.checked = 1 THEN '' ELSE ' (not checked yet)' END,
               ', ' ORDER BY f.eligibility_id
           ) AS replaced_by
    FROM towdb_data.override AS o
    JOIN towdb_data.statement_fact AS f ON f.statement_no = o.statement_no
    -- A withdrawal that nobody has checked cannot loosen.
    WHERE (f.withdrawn_on <= $1::DATE AND f.withdrawal_checked = 1) IS NOT TRUE
    GROUP BY o.target_no
)
SELECT s.*, n.replaced_by
FROM shown AS s
LEFT JOIN named AS n ON n.target_no = s.statement_no
ORDER BY s.model, s.model_year_from, s.towing_method <> 'four_wheels_down',
         s.purpose = 'emergency', s.towing_method, s.model_year_to, s.eligibility_id
