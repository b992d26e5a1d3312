-- Each candidate behind each coach.
SELECT t.*, r.*
FROM towed AS t
CROSS JOIN coach_rating AS r
