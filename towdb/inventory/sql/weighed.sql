-- Cars that weigh alike, with what they weigh on the road.
SELECT p.group_no, p.cars, p.counted, p.as_weighed_kg, p.gvwr_kg, p.curb_kg, t.low_kg, t.high_kg
FROM car_class AS p
JOIN towed AS t ON t.candidate_no = p.car_class_no
