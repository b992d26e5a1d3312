-- The spans between the bounds of building that a car's build date leaves open, where a bound matters,
-- each with a day in it.
WITH bounded AS (
    SELECT DISTINCT p.candidate_no, p.make_model_no, c.built_low_no, c.built_high_no
    FROM possible AS p
    JOIN configuration AS c ON c.configuration_no = p.configuration_no
    JOIN towdb_data.group_fact AS g ON g.group_no = p.group_no
    WHERE c.built_low_no < g.built_from_no OR c.built_high_no >= g.built_to_no
),
span AS (
    SELECT make_model_no, bound_no AS span_no, starts_on FROM towdb_data.build_bound
    UNION ALL
    SELECT DISTINCT make_model_no, 0, CAST(NULL AS DATE) FROM towdb_data.build_bound
)
SELECT b.candidate_no, s.span_no,
       CASE
           WHEN s.starts_on IS NULL THEN 'before ' || n.starts_on
           WHEN n.starts_on IS NULL THEN s.starts_on || ' or later'
           ELSE s.starts_on || ' to ' || (n.starts_on - 1)
       END AS answer,
       COALESCE(s.starts_on, n.starts_on - 1) AS built_on
FROM bounded AS b
JOIN span AS s
  ON s.make_model_no = b.make_model_no
 AND s.span_no BETWEEN b.built_low_no AND b.built_high_no
LEFT JOIN towdb_data.build_bound AS n
  ON n.make_model_no = s.make_model_no AND n.bound_no = s.span_no + 1
