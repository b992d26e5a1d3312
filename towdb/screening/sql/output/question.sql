-- What is still to find out: one row a candidate, coach, question and answer; the most decisive first.
-- candidate: what the person calls the car
-- coach: the stem of the coach's file, or its id on record
-- position: place among the questions of this car, 1 for the most decisive
-- about: what to find out: a column of the shortlist or of the coach file, or another person or document
-- because: the reason for the question
-- where: where it is usually found
-- answer: one answer; empty: no answer about the car settles it
-- bound: at_most, at_least, above or below, where the answer is a weight or a rating
-- figure_lb: that weight or rating in pounds, to the safe side
-- figure_kg: the same in kilograms, exact
-- verdict: what the verdict would be with this answer
-- then_ask: the question that would come next
SELECT n.candidate, c.coach, q.position, q.about, q.because, q."where", q.answer, q.bound,
       CAST(q.figure_lb AS DOUBLE) AS figure_lb, CAST(q.figure_kg AS DOUBLE) AS figure_kg, q.verdict,
       q.then_ask
FROM found_question AS q
JOIN candidate AS n ON n.candidate_no = q.candidate_no
JOIN coach_name AS c ON c.coach_no = q.coach_no
ORDER BY q.coach_no, q.candidate_no, q.position, q.trial_answer_no
