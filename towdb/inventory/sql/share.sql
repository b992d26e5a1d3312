-- How much of the inventory is within each requested weight: for all cars (0), and at ratings for every
-- group. within: certainly; over: certainly not; the rest is not known.
WITH each AS (
    SELECT group_no, low_kg, high_kg, cars, counted FROM weighed
    UNION ALL
    SELECT 0, low_kg, high_kg, cars, counted FROM weighed
),
total AS (
    SELECT group_no, COALESCE(SUM(cars) FILTER (WHERE counted IS NOT NULL), 0) AS cars,
           COALESCE(SUM(counted), 0) AS counted
    FROM each
    WHERE group_no IS NOT NULL
    GROUP BY group_no
),
step AS (
    SELECT group_no, high_kg AS kg, SUM(counted) AS within, 0 AS beyond
    FROM each
    WHERE high_kg IS NOT NULL
    GROUP BY group_no, high_kg
    UNION ALL
    SELECT group_no, low_kg, 0, SUM(counted)
    FROM each
    WHERE low_kg IS NOT NULL
    GROUP BY group_no, low_kg
),
wanted AS (
    SELECT t.group_no, t.cars, t.counted, p.kg, p.is_rating
    FROM total AS t
    JOIN point AS p ON t.group_no = 0 OR p.is_rating
),
summed AS (
    SELECT w.group_no, w.kg, w.is_rating, w.cars, w.counted,
           COALESCE(SUM(s.within) FILTER (WHERE s.kg <= w.kg), 0) AS within,
           COALESCE(SUM(s.beyond) FILTER (WHERE s.kg > w.kg), 0) AS beyond
    FROM wanted AS w
    LEFT JOIN step AS s ON s.group_no = w.group_no
    GROUP BY ALL
)
SELECT group_no, is_rating, lb(kg) AS rating_lb, CAST(cars AS BIGINT) AS cars,
       CAST(within AS DOUBLE) AS within, CAST(beyond AS DOUBLE) AS over,
       CAST(counted - within - beyond AS DOUBLE) AS unknown,
       CAST(within AS DOUBLE) / nullif(counted, 0) AS share_at_least,
       CAST(counted - beyond AS DOUBLE) / nullif(counted, 0) AS share_at_most
FROM summed
ORDER BY group_no, kg
