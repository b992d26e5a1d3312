-- Each weight by itself, for every group and for all cars together (0); towed: what counts as towed.
WITH each AS (
    SELECT * FROM weighed
    UNION ALL
    SELECT * REPLACE (0 AS group_no) FROM weighed
),
long AS (
    SELECT group_no, 1 AS weight_no, 'as_weighed' AS weight, as_weighed_kg AS kg, cars, counted FROM each
    UNION ALL
    SELECT group_no, 2, 'gvwr', gvwr_kg, cars, counted FROM each
    UNION ALL
    SELECT group_no, 3, 'curb_weight', curb_kg, cars, counted FROM each
    UNION ALL
    SELECT group_no, 4, 'towed', high_kg, cars, counted FROM each
)
SELECT group_no, weight_no, weight, kg, SUM(cars) AS cars, SUM(counted) AS counted
FROM long
WHERE group_no IS NOT NULL
GROUP BY group_no, weight_no, weight, kg
