-- What is known of the options of each configuration.
SELECT configuration_no, option[0] AS option_no, option[1] AS there
FROM (SELECT configuration_no, explode(told.options) AS option FROM told) AS o
