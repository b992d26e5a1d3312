-- Each copy with the coaches for which it was made.
SELECT t.*, r.*
FROM towed AS t
JOIN copied_coach AS k ON k.trial_answer_no = t.candidate_no
JOIN coach_rating AS r ON r.coach_no = k.coach_no
