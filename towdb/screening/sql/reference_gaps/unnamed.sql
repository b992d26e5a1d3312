-- How many cars have no make or no model: what the reference lacks for them is not known.
SELECT COUNT(*)
FROM candidate AS c
JOIN configuration AS k ON k.configuration_no = c.configuration_no
WHERE k.is_named = 0
