-- Sources on cars from before $1, or without a date, and how many cars rest on them.
-- source_id, title: the source
-- dated: when it was published, else when it was obtained; empty: neither date is known
-- cars: the cars to which a statement or weight that cites it may apply
WITH cited AS (
    SELECT s.configuration_no, e.source_id
    FROM statement_after_overrides AS s
    JOIN towdb_data.statement_fact AS f ON f.statement_no = s.statement_no
    JOIN towdb_data.eligibility AS e ON e.eligibility_id = f.eligibility_id
    UNION
    SELECT a.configuration_no, p.source_id
    FROM applies AS a
    JOIN towdb_data.group_weight AS w ON w.group_no = a.group_no
    JOIN towdb_data.vehicle_property AS p ON p.vehicle_property_id = w.vehicle_property_id
),
resting AS (
    SELECT c.source_id, SUM(p.cars) AS cars
    FROM cited AS c
    JOIN gap_class AS p ON p.configuration_no = c.configuration_no
    GROUP BY c.source_id
)
SELECT d.source_id, d.title, COALESCE(d.published_on, d.obtained_on) AS dated,
       CAST(COALESCE(r.cars, 0) AS BIGINT) AS cars
FROM towdb_data.source AS d
CROSS JOIN call AS a
LEFT JOIN resting AS r ON r.source_id = d.source_id
WHERE (COALESCE(d.published_on, d.obtained_on) >= $1::DATE) IS NOT TRUE
  AND NOT is_withdrawn(d.withdrawn_on, a.on_date)
  AND (d.source_id IN (SELECT source_id FROM towdb_data.eligibility)
       OR d.source_id IN (SELECT source_id FROM towdb_data.vehicle_property))
ORDER BY cars DESC, dated NULLS FIRST, d.source_id
