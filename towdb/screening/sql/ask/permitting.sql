-- The groups of statements that permit, to which a car may belong.
SELECT DISTINCT p.candidate_no, p.configuration_no, p.group_no, p.make_model_no
FROM possible AS p
JOIN current_statement AS s ON s.group_no = p.group_no AND s.stance = 'permits'
