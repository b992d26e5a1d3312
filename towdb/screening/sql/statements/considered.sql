-- Where towing is permitted: the permitting statements whose procedures come into question.
SELECT s.configuration_no, s.statement_no, s.sure, s.checked, s.fingerprint_no
FROM standing AS s
JOIN permission AS p ON p.configuration_no = s.configuration_no
WHERE p.outcome = 'met' AND s.stance = 'permits'
