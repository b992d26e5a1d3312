-- The verdict with each answer, and the question that would come next.
WITH next AS (
    SELECT d.candidate_no, d.coach_no, o.about
    FROM open_verdict AS d
    JOIN open_question AS o
      ON o.candidate_no = d.candidate_no AND (o.coach_no = d.coach_no OR o.coach_no IS NULL)
    QUALIFY row_number() OVER (
        PARTITION BY d.candidate_no, d.coach_no ORDER BY o.check_no, o.place, o.about, o.detail
    ) = 1
)
SELECT k.trial_answer_no, k.of_coach_no AS coach_no, d.verdict, n.about AS then_ask
FROM verdict_kg AS d
JOIN copied_coach AS k ON k.trial_answer_no = d.candidate_no AND k.coach_no = d.coach_no
LEFT JOIN next AS n ON n.candidate_no = d.candidate_no AND n.coach_no = d.coach_no
