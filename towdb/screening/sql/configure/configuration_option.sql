-- What is known of the options of a configuration.
SELECT DISTINCT k.configuration_no, t.option_no, t.is_present
FROM configuration_key AS k
JOIN option_set AS s ON s.set_no = k.option_set_no
JOIN option_state AS t
  ON t.make_model_no = s.make_model_no AND t.options = s.options
 AND t.options_complete IS NOT DISTINCT FROM s.options_complete
WHERE t.is_present IS NOT NULL
