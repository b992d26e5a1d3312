-- Cars of one make, model, year and configuration, counted; and those of them whose greatest
-- weight is not known, although no figure contradicts another.
SELECT l.make, l.model, l.model_year, c.configuration_no, COUNT(*) AS cars,
       COUNT(*) FILTER (WHERE t.high_kg IS NULL AND t.contradicts = 0
                               AND t.weighing_contradicts = 0) AS unweighed
FROM candidate AS c
JOIN label AS l ON l.candidate_no = c.candidate_no
JOIN towed AS t ON t.candidate_no = c.candidate_no
GROUP BY ALL
