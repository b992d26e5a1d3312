-- The cars that can be read, as the engine takes them; a frame has no order, so they have no number.
SELECT CAST(NULL AS INT) AS candidate_no, r.candidate, r.configuration_no, r.as_weighed_kg,
       r.gvwr_kg, r.curb_kg, r.load_kg
FROM car AS r
WHERE r.unreadable IS NULL
