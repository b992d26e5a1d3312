-- Statements on towing with four wheels down, behind another vehicle, that hold on the date asked.
-- A withdrawal that nobody has checked cannot loosen: the statement stays, and counts as unchecked.
-- A permission that was overridden by something now withdrawn counts as unchecked, unless it was
-- looked at again after the withdrawal.
SELECT s.statement_no, s.group_no, s.stance, s.strictness, p.fingerprint_no,
       CASE WHEN s.checked = 1 AND r.statement_no IS NULL THEN 1 ELSE 0 END AS checked
FROM towdb_data.statement_fact AS s
CROSS JOIN asked AS a
LEFT JOIN towdb_data.procedure_fingerprint AS p ON p.statement_no = s.statement_no
LEFT JOIN (
    SELECT DISTINCT o.target_no AS statement_no
    FROM towdb_data.override AS o
    CROSS JOIN asked AS a
    JOIN towdb_data.statement_fact AS t ON t.statement_no = o.statement_no
    JOIN towdb_data.statement_fact AS s ON s.statement_no = o.target_no
    WHERE t.withdrawn_on <= a.on_date
      AND s.stance = 'permits'
      AND (s.first_checked_on > t.withdrawn_on) IS NOT TRUE
) AS r ON r.statement_no = s.statement_no
WHERE s.towing_method = 'four_wheels_down'
  AND s.purpose <> 'emergency'
  AND (s.withdrawn_on <= a.on_date AND s.withdrawal_checked = 1) IS NOT TRUE
