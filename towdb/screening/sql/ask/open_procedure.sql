-- The procedures that differ, of which one may be chosen.
SELECT q.candidate_no, f.eligibility_id
FROM open_car AS q
JOIN procedure_check AS p
  ON p.configuration_no = q.configuration_no
 AND p.reason IN ('procedures_differ', 'chosen_not_sure')
JOIN considered AS c ON c.configuration_no = q.configuration_no
JOIN towdb_data.statement_fact AS f ON f.statement_no = c.statement_no
