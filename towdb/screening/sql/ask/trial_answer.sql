-- Every answer that could be typed, and what it would write: into the car's row, or the coach's file.
WITH figure AS (
    SELECT *, about = 'as_weighed' AS is_weight, about = 'gvwr' AS is_gvwr,
           CASE about
               WHEN 'coach_gvwr' THEN 'gvwr'
               WHEN 'as_weighed' THEN NULL
               WHEN 'gvwr' THEN NULL
               ELSE about
           END AS property
    FROM open_figure
    WHERE about <> 'all_together'
),
typed_figure AS (
    SELECT f.candidate_no, f.coach_no, f.about, f.bound, f.figure_kg, f.figure_lb, f.is_weight,
           f.is_gvwr, f.property, 1 AS place, f.enough_kg AS kg,
           FORMAT(CASE bound WHEN 'at_most' THEN '{:,.1f} lb or less' ELSE '{:,.1f} lb or more' END,
                  CAST(f.figure_lb AS DOUBLE)) AS answer
    FROM figure AS f
    WHERE f.place = 1
    UNION ALL
    -- If a second bound follows, the figure up to it is the least one above the first.
    SELECT f.candidate_no, f.coach_no, f.about, CASE WHEN b.bound IS NOT NULL THEN f.bound END,
           b.figure_kg, b.figure_lb, f.is_weight, f.is_gvwr, f.property, 2, f.not_enough_kg,
           CASE
               WHEN b.bound = 'at_most' THEN FORMAT('more, up to {:,.1f} lb', CAST(b.figure_lb AS DOUBLE))
               WHEN b.bound = 'at_least'
                   THEN FORMAT('less, down to {:,.1f} lb', CAST(b.figure_lb AS DOUBLE))
               WHEN f.bound = 'at_most' THEN 'more'
               ELSE 'less'
           END
    FROM figure AS f
    LEFT JOIN figure AS b
      ON b.place = 2 AND b.candidate_no = f.candidate_no AND b.about = f.about
     AND b.coach_no IS NOT DISTINCT FROM f.coach_no
    WHERE f.place = 1
    UNION ALL
    SELECT b.candidate_no, b.coach_no, b.about,
           CASE b.bound WHEN 'at_most' THEN 'above' ELSE 'below' END, b.figure_kg, b.figure_lb,
           b.is_weight, b.is_gvwr, b.property, 3, b.not_enough_kg,
           FORMAT(CASE b.bound WHEN 'at_most' THEN 'more than {:,.1f} lb'
                               ELSE 'less than {:,.1f} lb' END, CAST(b.figure_lb AS DOUBLE))
    FROM figure AS b
    WHERE b.place = 2
),
trial_answer AS (
    SELECT candidate_no, attribute AS about, answer, is_other AS place, attribute, word_no
    FROM open_word
    UNION ALL BY NAME
    SELECT candidate_no, 'model_year' AS about, CAST(model_year AS VARCHAR) AS answer, model_year
    FROM open_year
    UNION ALL BY NAME
    SELECT candidate_no, 'built_on' AS about, answer, span_no AS place, built_on FROM open_build
    UNION ALL BY NAME
    SELECT candidate_no, 'options' AS about, option AS answer, [option] AS options_added
    FROM open_option
    UNION ALL BY NAME
    SELECT DISTINCT candidate_no, 'options' AS about, '(none of these)' AS answer, 1 AS place,
           CAST([] AS VARCHAR[]) AS options_added, 1 AS options_complete
    FROM open_option
    UNION ALL BY NAME
    SELECT candidate_no, 'confirmed' AS about, vehicle_group_id AS detail,
           vehicle_group_id AS answer, [vehicle_group_id] AS confirmed_added
    FROM open_condition
    UNION ALL BY NAME
    SELECT candidate_no, 'procedure' AS about, eligibility_id AS answer,
           eligibility_id AS "procedure"
    FROM open_procedure
    UNION ALL BY NAME
    SELECT candidate_no, coach_no, about, answer, place, bound, figure_kg, figure_lb,
           CASE WHEN is_weight THEN kg END AS as_weighed_kg, CASE WHEN is_gvwr THEN kg END AS gvwr_kg,
           property, CASE WHEN property IS NOT NULL THEN kg END AS rating_kg
    FROM typed_figure
    UNION ALL BY NAME
    SELECT candidate_no, coach_no, about, 'none stated' AS answer, 4 AS place,
           'towing_capacity' AS property
    FROM open_check
    WHERE about = 'towing_capacity'
    UNION ALL BY NAME
    SELECT candidate_no, coach_no, 'all_together' AS about, answer, group_no, model_year, built_on,
           options_added, options_complete, confirmed_added, as_weighed_kg, bound, figure_kg,
           figure_lb
    FROM whole_car
)
SELECT CAST(row_number() OVER (
           ORDER BY candidate_no, coach_no, about, detail, place, answer, group_no, word_no
       ) AS INTEGER) AS trial_answer_no, r.*
FROM trial_answer AS r
