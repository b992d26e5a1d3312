-- What is open about each car, behind all coaches or one, in the order of the questions.
WITH of_the_car AS (
    SELECT candidate_no, 1 AS check_no, 1 AS place, attribute AS about FROM fitting_word
    UNION
    SELECT candidate_no, 1, 2, 'model_year' FROM open_year
    UNION
    SELECT candidate_no, 1, 3, 'built_on' FROM open_build
    UNION
    SELECT candidate_no, 1, 4, 'options' FROM open_option
    UNION
    SELECT candidate_no, 1, 5, 'confirmed' FROM open_condition
    UNION
    SELECT candidate_no, 2, 6, 'procedure' FROM open_procedure
),
elsewhere AS (
    SELECT e.candidate_no, e.coach_no, e.check_no, e.place, e.about, e.because
    FROM open_check AS e
    LEFT JOIN (SELECT DISTINCT candidate_no, about FROM of_the_car) AS k
      ON k.candidate_no = e.candidate_no AND k.about = e.about
    LEFT JOIN (SELECT DISTINCT candidate_no FROM of_the_car WHERE check_no = 1) AS c
      ON c.candidate_no = e.candidate_no
    WHERE k.candidate_no IS NULL AND NOT (e.is_of_the_car AND c.candidate_no IS NOT NULL)
)
SELECT o.candidate_no, CAST(NULL AS INTEGER) AS coach_no, o.check_no, o.place, o.about,
       v.vehicle_group_id AS detail,
       REPLACE(w.because, '{condition}', COALESCE(v.further_condition, '')) AS because
FROM of_the_car AS o
LEFT JOIN open_condition AS v ON o.about = 'confirmed' AND v.candidate_no = o.candidate_no
JOIN question_reason AS w
  ON w.kind = CASE WHEN o.about IN ('confirmed', 'procedure') THEN o.about ELSE 'word' END
UNION ALL
SELECT candidate_no, coach_no, check_no, place, about, NULL, because FROM elsewhere
