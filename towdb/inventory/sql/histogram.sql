-- How many cars have each weight, in bins of $1 lb: from_lb included, to_lb not.
SELECT weight, bin * $1 AS from_lb, (bin + 1) * $1 AS to_lb, CAST(SUM(cars) AS BIGINT) AS cars,
       SUM(counted)::DOUBLE AS counted
FROM (SELECT *, CAST(floor(lb(kg) / $1) AS INTEGER) AS bin FROM stated WHERE kg IS NOT NULL) AS s
WHERE group_no = 0 AND counted IS NOT NULL
GROUP BY weight_no, weight, bin
ORDER BY weight_no, bin
