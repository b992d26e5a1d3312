-- Each coach, and the most that it can pull.
-- coach: the stem of the coach's file, or its id on record
-- name: what the coach is called
-- capacity_lb, capacity_kg: smallest of receiver, GCWR less the loaded coach, and towing capacity; 0 while the coach itself is too heavy; empty while one of them is not known
-- capacity_at_most_lb, capacity_at_most_kg: the same from what is known, with the coach as light as it can be
-- governing_check: the check that sets the capacity
-- too_heavy: what is above its own rating: whole, front_axle or rear_axle; empty: nothing
-- too_heavy_by_lb, too_heavy_by_kg: by how much
-- gcwr_below_gvwr: whether its GCWR is below its GVWR: one of the two was misread
-- weights_cross: whether its weights contradict its gross rating
-- loaded_contradicts: whether it weighs less loaded than unloaded, or than half of its GVWR
-- axles_differ: whether its axle tickets together and its other weighing are more than 2 % apart
-- part_is_heavier: whether it weighed more with less aboard
-- front_axle_not_judged, rear_axle_not_judged: whether only the ticket or only the rating of this axle is known
SELECT n.coach, n.name, lb_margin(c.capacity_kg) AS capacity_lb,
       lb_margin(c.capacity_at_most_kg) AS capacity_at_most_lb, c.governing_check,
       c.capacity_kg, c.capacity_at_most_kg, g.too_heavy,
       CASE WHEN g.too_heavy IS NOT NULL THEN -lb_margin(g.margin_kg) END AS too_heavy_by_lb,
       CASE WHEN g.too_heavy IS NOT NULL THEN -g.margin_kg END AS too_heavy_by_kg,
       r.gcwr_kg < r.gvwr_kg AS gcwr_below_gvwr,
       r.loaded_low_kg IS NOT NULL AND r.loaded_high_kg IS NULL AND r.gvwr_allows = 1
           AND (r.known_low_kg > r.gvwr_kg OR r.ticket_kg > r.gvwr_kg) AS weights_cross,
       w.contradicts = 1 AS loaded_contradicts, w.axles_differ = 1 AS axles_differ,
       w.part_is_heavier = 1 AS part_is_heavier,
       f.state = 'not_judged' AS front_axle_not_judged, b.state = 'not_judged' AS rear_axle_not_judged
FROM coach_name AS n
JOIN coach_capacity AS c ON c.coach_no = n.coach_no
JOIN coach_rating AS r ON r.coach_no = n.coach_no
JOIN coach_weight AS w ON w.coach_no = n.coach_no
JOIN coach_gross AS g ON g.coach_no = n.coach_no
JOIN coach_axle AS f ON f.coach_no = n.coach_no AND f.axle = 'front_axle'
JOIN coach_axle AS b ON b.coach_no = n.coach_no AND b.axle = 'rear_axle'
ORDER BY n.coach_no
