-- One row a candidate and coach: all seven checks, the verdict, and which check governs it.
-- Governing: among checks not met permission first, then the smallest margin; else the first that
-- is unknown; else the smallest margin of the three checks of capacity. Ties in the order of checks.
WITH wide AS (
    SELECT c.*,
           g.outcome AS coach_gross_outcome, g.reason AS coach_gross_reason,
           g.value_kg AS coach_gross_value_kg, g.limit_kg AS coach_gross_limit_kg,
           g.margin_kg AS coach_gross_margin_kg,
           c.gross_outcome AS towed_gross_outcome, c.gross_reason AS towed_gross_reason,
           c.gross_value_kg AS towed_gross_value_kg, c.gross_limit_kg AS towed_gross_limit_kg,
           c.gross_margin_kg AS towed_gross_margin_kg
    FROM capacity_check AS c
    JOIN coach_gross AS g ON g.coach_no = c.coach_no
),
counted AS (
    SELECT w.*,
           CASE
               WHEN permission_outcome = 'not_met' OR receiver_outcome = 'not_met'
                    OR combination_outcome = 'not_met' OR capacity_outcome = 'not_met'
                    OR coach_gross_outcome = 'not_met' OR towed_gross_outcome = 'not_met'
               THEN 'not_suitable'
               WHEN permission_outcome = 'unknown' OR procedure_outcome = 'unknown'
                    OR receiver_outcome = 'unknown' OR combination_outcome = 'unknown'
                    OR capacity_outcome = 'unknown' OR coach_gross_outcome = 'unknown'
                    OR towed_gross_outcome = 'unknown'
               THEN 'undetermined'
               ELSE 'suitable'
           END AS verdict,
           CAST(99999999 AS DECIMAL(18,10)) AS beyond_kg
    FROM wide AS w
),
-- The margins that may govern. Only checks that are not met have one below zero, so the smallest is of
-- such a check, if there is one. Gross ratings count only where they are not met.
eligible AS (
    SELECT c.*,
           COALESCE(receiver_margin_kg, beyond_kg) AS m1,
           COALESCE(combination_margin_kg, beyond_kg) AS m2,
           COALESCE(capacity_margin_kg, beyond_kg) AS m3,
           CASE WHEN coach_gross_outcome = 'not_met' THEN coach_gross_margin_kg ELSE beyond_kg END AS m4,
           CASE WHEN towed_gross_outcome = 'not_met' THEN towed_gross_margin_kg ELSE beyond_kg END AS m5
    FROM counted AS c
),
governed AS (
    SELECT e.*,
           CASE
               WHEN permission_outcome = 'not_met' THEN 'permission'
               WHEN verdict = 'undetermined' AND permission_outcome = 'unknown' THEN 'permission'
               WHEN verdict = 'undetermined' AND procedure_outcome = 'unknown' THEN 'procedure'
               WHEN verdict = 'undetermined' AND receiver_outcome = 'unknown' THEN 'hitch_receiver'
               WHEN verdict = 'undetermined' AND combination_outcome = 'unknown'
                   THEN 'combination_rating'
               WHEN verdict = 'undetermined' AND capacity_outcome = 'unknown' THEN 'towing_capacity'
               WHEN verdict = 'undetermined' AND coach_gross_outcome = 'unknown' THEN 'coach_gross'
               WHEN verdict = 'undetermined' THEN 'towed_gross'
               WHEN m1 <= m2 AND m1 <= m3 AND m1 <= m4 AND m1 <= m5 THEN 'hitch_receiver'
               WHEN m2 <= m3 AND m2 <= m4 AND m2 <= m5 THEN 'combination_rating'
               WHEN m3 <= m4 AND m3 <= m5 THEN 'towing_capacity'
               WHEN m4 <= m5 THEN 'coach_gross'
               ELSE 'towed_gross'
           END AS governing_check
    FROM eligible AS e
)
SELECT candidate_no, candidate, coach_no, configuration_no, verdict,
       governing_check,
       CASE
           WHEN verdict = 'undetermined' THEN NULL
           WHEN governing_check = 'hitch_receiver' THEN receiver_margin_kg
           WHEN governing_check = 'combination_rating' THEN combination_margin_kg
           WHEN governing_check = 'towing_capacity' THEN capacity_margin_kg
           WHEN governing_check = 'coach_gross' THEN coach_gross_margin_kg
           WHEN governing_check = 'towed_gross' THEN towed_gross_margin_kg
       END AS margin_kg,
       low_kg AS towed_low_kg, high_kg AS towed_high_kg, basis AS weight_basis,
       permission_outcome, permission_reason, procedure_outcome, procedure_reason,
       receiver_outcome, receiver_reason, receiver_value_kg, receiver_limit_kg,
       receiver_margin_kg,
       combination_outcome, combination_reason, combination_value_kg, combination_limit_kg,
       combination_margin_kg,
       capacity_outcome, capacity_reason, capacity_value_kg, capacity_limit_kg,
       capacity_margin_kg,
       coach_gross_outcome, coach_gross_reason, coach_gross_value_kg, coach_gross_limit_kg,
       coach_gross_margin_kg,
       towed_gross_outcome, towed_gross_reason, towed_gross_value_kg, towed_gross_limit_kg,
       towed_gross_margin_kg
FROM governed
