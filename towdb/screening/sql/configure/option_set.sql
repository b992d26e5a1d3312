-- Lists that say the same of every option that matters share a number.
SELECT make_model_no, options, options_complete,
       dense_rank() OVER (ORDER BY make_model_no, said) AS set_no
FROM (
    SELECT make_model_no, options, options_complete,
           string_agg(option_no || ':' || there, ',' ORDER BY option_no) AS said
    FROM option_state
    WHERE there IS NOT NULL
    GROUP BY ALL
) AS s
