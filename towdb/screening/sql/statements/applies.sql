-- The groups that a configuration belongs to, surely (1) or possibly (0).
SELECT p.configuration_no, p.group_no,
       CASE
           WHEN p.unknowns + COALESCE(w.unknowns, 0) + COALESCE(o.unknowns, 0) = 0 THEN 1
           ELSE 0
       END AS is_certain
FROM pair AS p
LEFT JOIN word_match AS w
  ON w.configuration_no = p.configuration_no AND w.group_no = p.group_no
LEFT JOIN option_match AS o
  ON o.configuration_no = p.configuration_no AND o.group_no = p.group_no
WHERE COALESCE(w.falses, 0) = 0 AND COALESCE(o.falses, 0) = 0
