-- The groups whose further condition is confirmed for a configuration.
SELECT DISTINCT k.configuration_no, g.group_no
FROM configuration_key AS k
JOIN confirmed_set AS s ON s.set_no = k.confirmed_set_no
JOIN confirmed_group AS g
  ON g.make_model_no = s.make_model_no AND g.confirmed = s.confirmed
