-- What is still to find out about all cars together, what settles most of them first.
-- coach: the stem of the coach's file, or its id on record
-- about: what to find out: a column of the shortlist or of the coach file, or another person or document
-- where: where it is usually found
-- cars: the undetermined cars with this question
-- settled: those that one of its answers would make suitable or not suitable
-- made_suitable: those that one of its answers would make suitable
SELECT c.coach, q.about, q."where", CAST(SUM(q.cars) AS INTEGER) AS cars,
       CAST(SUM(q.cars * q.settles) AS INTEGER) AS settled,
       CAST(SUM(q.cars * q.makes_suitable) AS INTEGER) AS made_suitable
FROM (
    SELECT coach_no, candidate_no, about, "where", cars,
           MAX(CASE WHEN verdict <> 'undetermined' THEN 1 ELSE 0 END) AS settles,
           MAX(CASE WHEN verdict = 'suitable' THEN 1 ELSE 0 END) AS makes_suitable
    FROM found_question
    WHERE about <> 'all_together'
    GROUP BY ALL
) AS q
JOIN coach_name AS c ON c.coach_no = q.coach_no
GROUP BY c.coach_no, c.coach, q.about, q."where"
ORDER BY c.coach_no, settled DESC, made_suitable DESC, cars DESC, q.about
