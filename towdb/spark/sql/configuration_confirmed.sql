-- The groups whose further condition is confirmed for a configuration.
SELECT configuration_no, explode(told.confirmed) AS group_no
FROM told
