-- How many of a group's cells the words of a configuration miss, and how many they leave open.
SELECT p.configuration_no, p.group_no,
       SUM(CASE WHEN w.inside = 0 THEN 1 ELSE 0 END) AS falses,
       SUM(CASE WHEN w.inside IS NULL THEN 1 ELSE 0 END) AS unknowns
FROM pair AS p
JOIN towdb_data.group_cell AS c ON c.group_no = p.group_no
LEFT JOIN configuration_word AS k
  ON k.configuration_no = p.configuration_no AND k.attribute_no = c.attribute_no
LEFT JOIN towdb_data.cell_word AS w ON w.cell_no = c.cell_no AND w.word_no = k.word_no
GROUP BY p.configuration_no, p.group_no
