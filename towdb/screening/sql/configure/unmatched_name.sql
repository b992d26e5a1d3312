-- Makes and models as typed that no model on record matches, the first car of each, the make on record,
-- and what is to be compared with names on record: the make if it is not known, else the model.
-- A model that begins with one on record is not compared.
SELECT m.make, m.model, b.on_record, k.make AS known_make,
       CASE WHEN b.on_record IS NOT NULL THEN NULL WHEN k.make IS NULL THEN m.make ELSE m.model END
           AS to_compare,
       MIN(m.candidate_no) AS first_no
FROM candidate_make AS m
LEFT JOIN begun_model AS b ON b.make = m.make AND b.model = m.model
LEFT JOIN (
    SELECT fold(make) AS folded, MAX(make) AS make FROM towdb_data.vehicle_group GROUP BY ALL
) AS k ON k.folded = fold(m.make)
GROUP BY ALL
