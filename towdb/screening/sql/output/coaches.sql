-- Each coach, and what it can pull at all.
SELECT n.coach, n.name, lb_margin(c.capacity_kg) AS capacity_lb,
       lb_margin(c.capacity_at_most_kg) AS capacity_at_most_lb, c.governing_check,
       c.capacity_kg, c.capacity_at_most_kg,
       r.gcwr_kg < r.gvwr_kg AS gcwr_below_gvwr,
       r.loaded_low_kg IS NOT NULL AND r.loaded_high_kg IS NULL AND r.gvwr_allows = 1
           AND r.known_low_kg > r.gvwr_kg AS weights_cross
FROM coach_name AS n
JOIN coach_capacity AS c ON c.coach_no = n.coach_no
JOIN coach_rating AS r ON r.coach_no = n.coach_no
ORDER BY n.coach_no
