-- The coaches behind which each copy is screened: those behind which the car's verdict is open, or a
-- copy of one with one more figure, which has a number of its own.
SELECT r.trial_answer_no, d.coach_no AS of_coach_no, r.property, r.rating_kg,
       CAST(CASE WHEN r.property IS NULL THEN d.coach_no ELSE 1000000 + r.trial_answer_no END
            AS INTEGER) AS coach_no
FROM trial_answer AS r
JOIN open_verdict AS d
  ON d.candidate_no = r.candidate_no AND (r.coach_no = d.coach_no OR r.coach_no IS NULL)
