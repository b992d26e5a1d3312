-- What acting overrides do to the statements of a configuration. One acts if it is checked, or
-- stricter than what it overrides. One that surely applies removes the other; one that possibly
-- applies makes the other possible at most, unless both permit.
SELECT s.configuration_no, s.statement_no,
       MAX(t.is_certain) AS is_out,
       MAX(CASE WHEN t.stance = 'permits' AND s.stance = 'permits' THEN 0 ELSE 1 END) AS is_weakened
FROM applying_statement AS s
JOIN towdb_data.override AS o ON o.target_no = s.statement_no
JOIN applying_statement AS t
  ON t.configuration_no = s.configuration_no AND t.statement_no = o.statement_no
WHERE t.checked = 1 OR t.strictness > s.strictness
GROUP BY s.configuration_no, s.statement_no
