-- Each coach, and what it can pull at all.
-- coach: the stem of the coach's file, or its id on record
-- name: what the coach is called
-- capacity_lb, capacity_kg: smallest of receiver, GCWR less the loaded coach, and towing capacity; empty while one of them is not known
-- capacity_at_most_lb, capacity_at_most_kg: the same from what is known, with the coach as light as it can be
-- governing_check: the check that sets the capacity
-- gcwr_below_gvwr: whether its GCWR is below its GVWR: one of the two was misread
-- weights_cross: whether its weights contradict its gross rating
SELECT n.coach, n.name, lb_margin(c.capacity_kg) AS capacity_lb,
       lb_margin(c.capacity_at_most_kg) AS capacity_at_most_lb, c.governing_check,
       c.capacity_kg, c.capacity_at_most_kg,
       r.gcwr_kg < r.gvwr_kg AS gcwr_below_gvwr,
       r.loaded_low_kg IS NOT NULL AND r.loaded_high_kg IS NULL AND r.gvwr_allows = 1
           AND (r.known_low_kg > r.gvwr_kg OR r.ticket_kg > r.gvwr_kg) AS weights_cross
FROM coach_name AS n
JOIN coach_capacity AS c ON c.coach_no = n.coach_no
JOIN coach_rating AS r ON r.coach_no = n.coach_no
ORDER BY n.coach_no
