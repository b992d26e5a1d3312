-- Options typed that no group of the make and model uses, itself and its source checked: perhaps
-- misspellings. An option of a group that nobody has checked may be
-- misspelt itself.
SELECT s.make_model_no, s.options, s.options_complete, s.item
FROM (
    SELECT make_model_no, options, options_complete, unnest(items) AS item
    FROM option_list
    WHERE NOT is_none
) AS s
LEFT JOIN known_option AS o ON o.make_model_no = s.make_model_no AND o.option = s.item
WHERE o.option IS NULL
