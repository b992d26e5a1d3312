-- The configurations, as inputs of the engine.
SELECT configuration_no, is_named, nullif(make_model_no, -1) AS make_model_no,
       nullif(model_year, -1) AS model_year,
       low_no AS built_low_no, high_no AS built_high_no,
       nullif(procedure_no, -1) AS procedure_no
FROM configuration_key
