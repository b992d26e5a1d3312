-- Where towing is permitted: the permitting statements whose procedures may apply.
SELECT s.configuration_no, s.statement_no, s.is_certain, s.checked, s.fingerprint_no
FROM statement_after_overrides AS s
JOIN permission AS p ON p.configuration_no = s.configuration_no
WHERE p.outcome = 'met' AND s.stance = 'permits'
