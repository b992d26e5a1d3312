-- The distinct configurations, each under its own text: the same whenever and wherever it is made.
SELECT configuration_no,
       from_json(configuration_no,
                 'is_named INT, make_model_no INT, model_year INT, built_low_no INT,
                  built_high_no INT, procedure_no INT, words ARRAY<ARRAY<INT>>,
                  options ARRAY<ARRAY<INT>>, confirmed ARRAY<INT>') AS told
FROM (SELECT DISTINCT configuration_no FROM car WHERE unreadable IS NULL) AS c
