-- The statements that are shown, in the order in which people read them, with the statements that
-- replace each, for all of its cars or for some; and what it contradicts.
WITH naming AS (
    SELECT o.target_no, f.statement_no, f.eligibility_id, f.checked, f.group_no,
           s.group_no AS target_group_no
    FROM towdb_data.override AS o
    JOIN shown AS t ON t.statement_no = o.target_no
    JOIN towdb_data.statement_fact AS f ON f.statement_no = o.statement_no
    JOIN towdb_data.statement_fact AS s ON s.statement_no = o.target_no
    -- A withdrawal that nobody has checked cannot loosen.
    WHERE NOT (is_withdrawn(f.withdrawn_on, $1::DATE) AND f.withdrawal_checked = 1)
),
-- Cells and options by which it leaves out cars of the other, or may leave them out.
narrower AS (
    SELECT n.target_no, n.statement_no
    FROM naming AS n
    JOIN towdb_data.group_cell AS c ON c.group_no = n.group_no
    LEFT JOIN towdb_data.group_cell AS t
      ON t.group_no = n.target_group_no AND t.attribute_no = c.attribute_no
    WHERE c.meaning = 'empty'
       OR (t.meaning = c.meaning
           OR (t.meaning <> 'empty' AND t.make_model_no IS NULL
               AND list_has_all(string_split(c.meaning, '|'), string_split(t.meaning, '|')))
          ) IS NOT TRUE
    UNION
    SELECT n.target_no, n.statement_no
    FROM naming AS n
    JOIN towdb_data.group_option AS o ON o.group_no = n.group_no
    LEFT JOIN towdb_data.group_option AS t
      ON t.group_no = n.target_group_no AND t.option_no = o.option_no AND t.wanted = o.wanted
    WHERE t.group_no IS NULL
    UNION
    SELECT n.target_no, n.statement_no
    FROM naming AS n
    JOIN towdb_data.group_fact AS g ON g.group_no = n.group_no
    JOIN towdb_data.group_fact AS t ON t.group_no = n.target_group_no
    WHERE g.has_further_condition = 1
       OR (g.model_year_from <= t.model_year_from) IS NOT TRUE
       OR (g.model_year_to >= t.model_year_to) IS NOT TRUE
       OR (g.built_from_no IS NULL OR g.built_from_no <= t.built_from_no) IS NOT TRUE
       OR (g.built_to_no IS NULL OR g.built_to_no >= t.built_to_no) IS NOT TRUE
),
named AS (
    SELECT n.target_no, w.statement_no IS NOT NULL AS only_some,
           string_agg(
               n.eligibility_id || CASE WHEN n.checked = 1 THEN '' ELSE ' (not checked yet)' END,
               ', ' ORDER BY n.eligibility_id
           ) AS named
    FROM naming AS n
    LEFT JOIN narrower AS w ON w.target_no = n.target_no AND w.statement_no = n.statement_no
    GROUP BY n.target_no, only_some
),
-- The check has found these when the release was built; its remedy begins with the other statement.
contradiction AS (
    SELECT f.key AS one, s.eligibility_id AS other
    FROM towdb_data.finding AS f
    JOIN shown AS s ON starts_with(f.remedy, s.eligibility_id || ' ')
    WHERE f.rule = 'statements_do_not_contradict'
),
contradicted AS (
    SELECT one, string_agg(other, ', ' ORDER BY other) AS by_others
    FROM (FROM contradiction UNION SELECT other, one FROM contradiction)
    GROUP BY one
)
SELECT s.* REPLACE (
           CASE WHEN is_withdrawn(s.withdrawn_on, $1::DATE) THEN s.withdrawn_on END AS withdrawn_on
       ),
       whole.named AS replaced_by, part.named AS replaced_for_some_by,
       c.by_others AS contradicted_by
FROM shown AS s
LEFT JOIN named AS whole ON whole.target_no = s.statement_no AND NOT whole.only_some
LEFT JOIN named AS part ON part.target_no = s.statement_no AND part.only_some
LEFT JOIN contradicted AS c ON c.one = s.eligibility_id
ORDER BY s.model, s.model_year_from, s.towing_method <> 'four_wheels_down',
         s.purpose = 'emergency', s.towing_method, s.model_year_to, s.eligibility_id
