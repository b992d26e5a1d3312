-- The spans between the bounds of building that a car's build date leaves open, where a bound matters:
-- the first day of a span (empty: before all bounds) and of the next (empty: after all bounds).
WITH possible AS (
    SELECT DISTINCT c.configuration_no, c.make_model_no, c.built_low_no, c.built_high_no
    FROM applies AS a
    JOIN configuration AS c ON c.configuration_no = a.configuration_no
    JOIN towdb_data.group_fact AS g ON g.group_no = a.group_no
    WHERE a.sure = 0 AND a.group_no IN (SELECT group_no FROM current_statement)
      AND (c.built_low_no < g.built_from_no OR c.built_high_no >= g.built_to_no)
),
span AS (
    SELECT make_model_no, bound_no AS span_no, starts_on FROM towdb_data.build_bound
    UNION ALL
    SELECT DISTINCT make_model_no, 0, CAST(NULL AS DATE) FROM towdb_data.build_bound
)
SELECT p.configuration_no, s.starts_on, n.starts_on AS next_on
FROM possible AS p
JOIN span AS s
  ON s.make_model_no = p.make_model_no
 AND s.span_no BETWEEN p.built_low_no AND p.built_high_no
LEFT JOIN towdb_data.build_bound AS n
  ON n.make_model_no = s.make_model_no AND n.bound_no = s.span_no + 1
ORDER BY p.configuration_no, s.span_no
