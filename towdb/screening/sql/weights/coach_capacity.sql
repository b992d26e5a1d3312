-- The most that each coach can pull: the smallest of receiver, GCWR less its loaded weight, and towing
-- capacity. capacity_kg is empty while one of them is unknown; capacity_at_most_kg takes those that are
-- known, with the coach as light as it can be. A coach that is too heavy itself pulls nothing.
WITH part AS (
    SELECT coach_no,
           CASE
               WHEN receiver_allows = 1 AND receiver_no_mode_kg < receiver_kg
                   THEN receiver_no_mode_kg
               WHEN receiver_allows = 1 THEN receiver_kg
           END AS receiver_kg,
           CASE WHEN gcwr_allows = 1 THEN gcwr_kg - loaded_high_kg END AS combination_kg,
           CASE WHEN towing_capacity_allows = 1 THEN towing_capacity_kg END AS capacity_kg,
           CASE
               WHEN towing_capacity_kg IS NULL AND capacity_is_none_stated = 1 THEN 1 ELSE 0
           END AS capacity_is_none_stated,
           CASE WHEN receiver_no_mode_kg < receiver_kg OR receiver_kg IS NULL
                THEN receiver_no_mode_kg ELSE receiver_kg END AS most_receiver_kg,
           gcwr_kg - COALESCE(loaded_low_kg, 0) AS most_combination_kg,
           towing_capacity_kg AS most_capacity_kg
    FROM coach_rating
),
two AS (
    SELECT p.*,
           CASE WHEN combination_kg < receiver_kg THEN combination_kg ELSE receiver_kg END
               AS first_two_kg,
           CASE WHEN most_combination_kg < most_receiver_kg OR most_receiver_kg IS NULL
                THEN most_combination_kg ELSE most_receiver_kg END AS most_two_kg
    FROM part AS p
),
three AS (
    SELECT t.*,
           CASE
               WHEN receiver_kg IS NULL OR combination_kg IS NULL THEN NULL
               WHEN capacity_is_none_stated = 1 THEN first_two_kg
               WHEN capacity_kg IS NULL THEN NULL
               WHEN capacity_kg < first_two_kg THEN capacity_kg
               ELSE first_two_kg
           END AS least_kg,
           CASE WHEN most_capacity_kg < most_two_kg OR most_two_kg IS NULL
                THEN most_capacity_kg ELSE most_two_kg END AS most_kg
    FROM two AS t
)
SELECT t.coach_no,
       CASE WHEN g.outcome = 'not_met' THEN CAST(0 AS DECIMAL(18,10)) ELSE t.least_kg END
           AS capacity_kg,
       CASE WHEN g.outcome = 'not_met' THEN CAST(0 AS DECIMAL(18,10)) ELSE t.most_kg END
           AS capacity_at_most_kg,
       CASE
           WHEN g.outcome = 'not_met' THEN 'coach_gross'
           WHEN t.least_kg IS NULL THEN NULL
           WHEN t.receiver_kg = t.least_kg THEN 'hitch_receiver'
           WHEN t.combination_kg = t.least_kg THEN 'combination_rating'
           ELSE 'towing_capacity'
       END AS governing_check
FROM three AS t
JOIN coach_gross AS g ON g.coach_no = t.coach_no
