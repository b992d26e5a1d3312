-- Lists that agree on every option that matters share a number.
SELECT make_model_no, options, options_complete,
       dense_rank() OVER (ORDER BY make_model_no, state_text) AS set_no
FROM (
    SELECT make_model_no, options, options_complete,
           string_agg(option_no || ':' || is_present, ',' ORDER BY option_no) AS state_text
    FROM option_state
    WHERE is_present IS NOT NULL
    GROUP BY ALL
) AS s
