-- The distinct lists of options that were typed for a make and model.
SELECT c.make_model_no, c.options, c.options_complete, r.items, r.items = ['none'] AS is_none
FROM (
    SELECT DISTINCT make_model_no, options, options_complete
    FROM coded
    WHERE options IS NOT NULL AND make_model_no > 0
) AS c
JOIN read_options AS r ON r.raw = c.options
