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
           END AS verdict
    FROM wide AS w
),
-- The margins that may govern: of what is not met, or of capacity where all is met.
eligible AS (
    SELECT c.*,
           CASE WHEN (verdict = 'not_suitable' AND receiver_outcome = 'not_met')
                     OR (verdict = 'suitable' AND receiver_outcome = 'met')
                THEN receiver_margin_kg END AS m1,
           CASE WHEN (verdict = 'not_suitable' AND combination_outcome = 'not_met')
                     OR (verdict = 'suitable' AND combination_outcome = 'met')
                THEN combination_margin_kg END AS m2,
           CASE WHEN (verdict = 'not_suitable' AND capacity_outcome = 'not_met')
                     OR (verdict = 'suitable' AND capacity_outcome = 'met')
                THEN capacity_margin_kg END AS m3,
           CASE WHEN verdict = 'not_suitable' AND coach_gross_outcome = 'not_met'
                THEN coach_gross_margin_kg END AS m4,
           CASE WHEN verdict = 'not_suitable' AND towed_gross_outcome = 'not_met'
                THEN towed_gross_margin_kg END AS m5
    FROM counted AS c
),
least2 AS (
    SELECT e.*, CASE WHEN m2 < m1 OR m1 IS NULL THEN m2 ELSE m1 END AS n2 FROM eligible AS e
),
least3 AS (
    SELECT e.*, CASE WHEN m3 < n2 OR n2 IS NULL THEN m3 ELSE n2 END AS n3 FROM least2 AS e
),
least4 AS (
    SELECT e.*, CASE WHEN m4 < n3 OR n3 IS NULL THEN m4 ELSE n3 END AS n4 FROM least3 AS e
),
least5 AS (
    SELECT e.*, CASE WHEN m5 < n4 OR n4 IS NULL THEN m5 ELSE n4 END AS n5 FROM least4 AS e
)
SELECT candidate_no, candidate, coach_no, configuration_no, verdict,
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
           WHEN m1 = n5 THEN 'hitch_receiver'
           WHEN m2 = n5 THEN 'combination_rating'
           WHEN m3 = n5 THEN 'towing_capacity'
           WHEN m4 = n5 THEN 'coach_gross'
           ELSE 'towed_gross'
       END AS governing_check,
       CASE WHEN permission_outcome <> 'not_met' THEN n5 END AS margin_kg,
       low_kg AS towed_low_kg, high_kg AS towed_high_kg, basis AS weight_basis, contradicts,
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
FROM least5
