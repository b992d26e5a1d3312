-- The cars of the verdict table.
-- candidate: what the person calls the car
-- configuration_no: cars of one number are the same car to the release
SELECT n.candidate, n.configuration_no
FROM candidate AS n
ORDER BY n.candidate_no
