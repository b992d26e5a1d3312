-- The cars described by pages that may permit: all that is open about one group in one answer; where
-- the weight is open, once with it.
WITH worded AS (
    SELECT candidate_no, group_no, 
           string_agg(attribute || ' ' || answer, '; ' ORDER BY attribute) AS words
    FROM possible_cell
    GROUP BY ALL
),
optioned AS (
    SELECT o.group_no, MIN(o.wanted) = 0 AS is_complete,
           COALESCE(list(n.option ORDER BY n.option) FILTER (WHERE o.wanted = 1), []) AS added
    FROM towdb_data.group_option AS o
    JOIN towdb_data.option_number AS n ON n.option_no = o.option_no
    GROUP BY ALL
),
page_car AS (
    SELECT p.candidate_no, p.group_no, w.words,
           CASE WHEN c.model_year IS NULL THEN v.model_year_from END AS model_year,
           CASE WHEN f.built_from_no > c.built_low_no THEN v.built_from
                WHEN f.built_to_no <= c.built_high_no THEN v.built_to END AS built_on,
           o.added AS options_added, CASE WHEN o.is_complete THEN 1 END AS options_complete,
           CASE WHEN f.has_further_condition = 1 THEN [v.vehicle_group_id] END AS confirmed_added
    FROM permitting AS p
    JOIN configuration AS c ON c.configuration_no = p.configuration_no
    JOIN towdb_data.group_fact AS f ON f.group_no = p.group_no
    JOIN towdb_data.vehicle_group AS v ON v.vehicle_group_id = f.vehicle_group_id
    LEFT JOIN worded AS w ON w.candidate_no = p.candidate_no AND w.group_no = p.group_no
    LEFT JOIN optioned AS o ON o.group_no = p.group_no
),
weighed AS (
    SELECT candidate_no, coach_no, bound, figure_kg, figure_lb, enough_kg
    FROM open_figure
    WHERE about = 'all_together' AND place = 1
    UNION ALL
    SELECT candidate_no, NULL, NULL, NULL, NULL, NULL FROM open_car
)
SELECT t.candidate_no, f.coach_no, t.group_no, t.model_year, t.built_on, t.options_added,
       t.options_complete, t.confirmed_added, f.enough_kg AS as_weighed_kg, f.bound, f.figure_kg,
       f.figure_lb,
       CONCAT_WS('; ',
           REPLACE(t.words, '_', ' '), 'model year ' || t.model_year, 'built on ' || t.built_on,
           CASE WHEN t.options_added IS NOT NULL
                THEN 'options ' || COALESCE(NULLIF(ARRAY_TO_STRING(t.options_added, ', '), ''), 'none')
           END,
           CASE WHEN t.options_complete = 1 THEN 'options complete yes' END,
           'confirmed ' || t.confirmed_added[1],
           'as weighed ' || FORMAT('{:,.1f} lb or less', CAST(f.figure_lb AS DOUBLE))) AS answer
FROM page_car AS t
JOIN weighed AS f ON f.candidate_no = t.candidate_no
