-- The three checks against the coach's capacity.
-- Met if the worst case passes, not met if the best case fails, else unknown. Equal is met. A
-- weighing that cannot be true counts as no weight.
WITH compared AS (
    SELECT f.*,
           CASE WHEN f.receiver_no_mode_kg < f.receiver_kg OR f.receiver_kg IS NULL
                THEN f.receiver_no_mode_kg ELSE f.receiver_kg END AS receiver_limit_kg,
           COALESCE(f.low_kg, 0) + COALESCE(f.loaded_low_kg, 0) AS sum_low_kg,
           f.high_kg + f.loaded_high_kg AS sum_high_kg
    FROM pairing AS f
),
decided AS (
    SELECT c.*,
           CASE
               WHEN receiver_limit_kg IS NULL THEN 'rating_missing'
               WHEN low_kg > receiver_limit_kg THEN 'over'
               WHEN receiver_kg IS NULL THEN 'mode_not_printed'
               WHEN receiver_allows = 0 THEN 'rating_missing'
               WHEN weighing_contradicts = 1 THEN 'weights_contradict'
               WHEN high_kg <= receiver_limit_kg THEN 'within'
               WHEN low_kg IS NULL AND high_kg IS NULL THEN 'weight_unknown'
               ELSE 'depends_on_the_weight'
           END AS receiver_reason,
           CASE
               WHEN gcwr_kg IS NULL THEN 'rating_missing'
               WHEN sum_low_kg > gcwr_kg THEN 'over'
               WHEN gcwr_allows = 0 THEN 'rating_missing'
               WHEN weighing_contradicts = 1 OR loaded_contradicts = 1 THEN 'weights_contradict'
               WHEN sum_high_kg <= gcwr_kg THEN 'within'
               WHEN low_kg IS NULL AND high_kg IS NULL THEN 'weight_unknown'
               WHEN loaded_low_kg IS NULL AND loaded_high_kg IS NULL THEN 'weight_unknown'
               ELSE 'depends_on_the_weight'
           END AS combination_reason,
           CASE
               WHEN towing_capacity_kg IS NULL AND capacity_is_none_stated = 1 THEN 'none_stated'
               WHEN towing_capacity_kg IS NULL THEN 'rating_missing'
               WHEN low_kg > towing_capacity_kg THEN 'over'
               WHEN towing_capacity_allows = 0 THEN 'rating_missing'
               WHEN weighing_contradicts = 1 THEN 'weights_contradict'
               WHEN high_kg <= towing_capacity_kg THEN 'within'
               WHEN low_kg IS NULL AND high_kg IS NULL THEN 'weight_unknown'
               ELSE 'depends_on_the_weight'
           END AS capacity_reason
    FROM compared AS c
)
SELECT candidate_no, candidate, coach_no, configuration_no, low_kg, high_kg, basis,
       permission_outcome, permission_reason, procedure_outcome, procedure_reason,
       gross_outcome, gross_reason, gross_value_kg, gross_limit_kg, gross_margin_kg,
       receiver_reason,
       CASE receiver_reason WHEN 'within' THEN 'met' WHEN 'over' THEN 'not_met' ELSE 'unknown' END
           AS receiver_outcome,
       CASE receiver_reason WHEN 'within' THEN high_kg WHEN 'over' THEN low_kg END
           AS receiver_value_kg,
       CASE WHEN receiver_reason IN ('within', 'over') THEN receiver_limit_kg END
           AS receiver_limit_kg,
       CASE receiver_reason
           WHEN 'within' THEN receiver_limit_kg - high_kg
           WHEN 'over' THEN receiver_limit_kg - low_kg
       END AS receiver_margin_kg,
       combination_reason,
       CASE combination_reason
           WHEN 'within' THEN 'met' WHEN 'over' THEN 'not_met' ELSE 'unknown'
       END AS combination_outcome,
       CASE combination_reason WHEN 'within' THEN sum_high_kg WHEN 'over' THEN sum_low_kg END
           AS combination_value_kg,
       CASE WHEN combination_reason IN ('within', 'over') THEN gcwr_kg END
           AS combination_limit_kg,
       CASE combination_reason
           WHEN 'within' THEN gcwr_kg - sum_high_kg
           WHEN 'over' THEN gcwr_kg - sum_low_kg
       END AS combination_margin_kg,
       capacity_reason,
       CASE capacity_reason
           WHEN 'within' THEN 'met'
           WHEN 'over' THEN 'not_met'
           WHEN 'none_stated' THEN 'not_applicable'
           ELSE 'unknown'
       END AS capacity_outcome,
       CASE capacity_reason WHEN 'within' THEN high_kg WHEN 'over' THEN low_kg END
           AS capacity_value_kg,
       CASE WHEN capacity_reason IN ('within', 'over') THEN towing_capacity_kg END
           AS capacity_limit_kg,
       CASE capacity_reason
           WHEN 'within' THEN towing_capacity_kg - high_kg
           WHEN 'over' THEN towing_capacity_kg - low_kg
       END AS capacity_margin_kg
FROM decided
