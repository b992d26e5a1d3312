-- The state in a list of each option that groups of the make and model name: present (1), absent (0)
-- or unknown. An option not listed is absent only where the list is complete and nothing in it may be a
-- misspelling.
SELECT s.make_model_no, s.options, s.options_complete, o.option_no,
       CASE
           WHEN s.is_none THEN 0
           WHEN list_contains(s.items, o.option) THEN 1
           WHEN s.options_complete = 1 AND x.item IS NULL THEN 0
       END AS is_present
FROM option_list AS s
JOIN towdb_data.option_number AS o ON o.make_model_no = s.make_model_no
LEFT JOIN (
    SELECT make_model_no, options, MIN(item) AS item
    FROM misspelt_option
    GROUP BY ALL
) AS x
  ON x.make_model_no = s.make_model_no AND x.options = s.options
