-- Rows whose source is withdrawn on the date of the call. A withdrawal in a source row that nobody has
-- checked (is_checked 0) cannot loosen: what it would remove still forbids, and permits nothing.
SELECT e.table_name, e.row_key, d.withdrawn_on,
       CASE WHEN d.checked_by IS NOT NULL THEN 1 ELSE 0 END AS is_checked
FROM towdb_data.entry_row AS e
JOIN towdb_data.source AS d ON d.source_id = e.source_id
CROSS JOIN call AS q
WHERE is_withdrawn(d.withdrawn_on, q.on_date)
