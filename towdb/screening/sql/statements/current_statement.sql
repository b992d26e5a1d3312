-- Statements on towing with four wheels down, behind another vehicle, as of the date of the call.
-- A withdrawal that nobody has checked cannot loosen: the statement stays, and counts as unchecked.
-- A permission that was overridden by something now withdrawn counts as unchecked, unless it was
-- checked again after the withdrawal.
SELECT s.statement_no, s.group_no, s.stance, s.strictness, p.fingerprint_no,
       CASE WHEN s.checked = 1 AND r.statement_no IS NULL THEN 1 ELSE 0 END AS checked
FROM towdb_data.statement_fact AS s
LEFT JOIN withdrawn_row AS x
  ON x.table_name = 'eligibility' AND x.row_key = s.eligibility_id AND x.is_checked = 1
LEFT JOIN towdb_data.procedure_fingerprint AS p ON p.statement_no = s.statement_no
LEFT JOIN (
    SELECT DISTINCT o.target_no AS statement_no
    FROM towdb_data.override AS o
    JOIN towdb_data.statement_fact AS t ON t.statement_no = o.statement_no
    JOIN withdrawn_row AS x ON x.table_name = 'eligibility' AND x.row_key = t.eligibility_id
    JOIN towdb_data.statement_fact AS s ON s.statement_no = o.target_no
    WHERE s.stance = 'permits'
      AND (s.first_checked_on > x.withdrawn_on) IS NOT TRUE
) AS r ON r.statement_no = s.statement_no
WHERE s.is_on_flat_towing = 1 AND x.row_key IS NULL
