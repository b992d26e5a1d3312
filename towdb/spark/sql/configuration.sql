-- The configurations, as the engine takes them.
SELECT configuration_no, told.is_named, told.make_model_no, told.model_year, told.built_low_no,
       told.built_high_no, told.procedure_no
FROM told
