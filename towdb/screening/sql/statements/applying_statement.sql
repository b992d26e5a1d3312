-- The current statements that apply to a configuration, before overrides.
SELECT a.configuration_no, s.statement_no, a.is_certain, s.stance, s.strictness, s.checked,
       s.fingerprint_no
FROM applies AS a
JOIN current_statement AS s ON s.group_no = a.group_no
