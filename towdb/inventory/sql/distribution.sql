-- How each weight is distributed in every group. If cars count by number, quantiles are those of
-- Hyndman and Fan 1996, type 7 (between two cars in proportion); if they count by price ($1),
-- type 1: the least weight up to which there is that share of the price.
WITH upto AS (
    SELECT *, SUM(counted) OVER (PARTITION BY group_no, weight_no ORDER BY kg) AS up_to,
           SUM(counted) OVER (PARTITION BY group_no, weight_no) AS total
    FROM stated
    WHERE kg IS NOT NULL AND counted > 0
),
share(share) AS (
    VALUES (0.05::DECIMAL(3,2)), (0.25), (0.50), (0.75), (0.95)
),
place AS (
    SELECT u.group_no, u.weight_no, u.kg, u.up_to, u.total, s.share,
           (u.total::DOUBLE - 1) * s.share::DOUBLE AS position
    FROM upto AS u
    CROSS JOIN share AS s
),
neighbour AS (
    SELECT group_no, weight_no, share, any_value(position) AS position,
           CAST(min(kg) FILTER (WHERE up_to > floor(position)) AS DOUBLE) AS low,
           CAST(min(kg) FILTER (WHERE up_to > floor(position) + 1) AS DOUBLE) AS high,
           CAST(min(kg) FILTER (WHERE up_to >= total * share) AS DOUBLE) AS inverse
    FROM place
    GROUP BY group_no, weight_no, share
),
quantile AS (
    SELECT group_no, weight_no, share,
           CASE WHEN $1 = 'price' THEN inverse
                ELSE low + (position - floor(position)) * (COALESCE(high, low) - low) END AS kg
    FROM neighbour
),
spread AS (
    SELECT group_no, weight_no,
           max(kg) FILTER (WHERE share = 0.05) AS q05, max(kg) FILTER (WHERE share = 0.25) AS q25,
           max(kg) FILTER (WHERE share = 0.50) AS q50, max(kg) FILTER (WHERE share = 0.75) AS q75,
           max(kg) FILTER (WHERE share = 0.95) AS q95
    FROM quantile
    GROUP BY group_no, weight_no
),
plain AS (
    SELECT group_no, weight_no, weight,
           COALESCE(SUM(cars) FILTER (WHERE kg IS NOT NULL AND counted IS NOT NULL), 0) AS cars,
           COALESCE(SUM(cars) FILTER (WHERE kg IS NULL AND counted IS NOT NULL), 0) AS missing,
           min(kg) FILTER (WHERE counted > 0) AS minimum, max(kg) FILTER (WHERE counted > 0) AS maximum,
           SUM(kg::DOUBLE * counted) / nullif(SUM(counted) FILTER (WHERE kg IS NOT NULL), 0) AS mean
    FROM stated
    GROUP BY group_no, weight_no, weight
)
SELECT p.group_no, p.weight, CAST(p.cars AS BIGINT) AS cars, CAST(p.missing AS BIGINT) AS missing,
       lb(p.minimum) AS minimum_lb, lb(q05) AS q05_lb, lb(q25) AS q25_lb, lb(q50) AS median_lb,
       lb(q75) AS q75_lb, lb(q95) AS q95_lb, lb(p.mean) AS mean_lb, lb(p.maximum) AS maximum_lb
FROM plain AS p
LEFT JOIN spread AS s ON s.group_no = p.group_no AND s.weight_no = p.weight_no
ORDER BY p.group_no, p.weight_no
