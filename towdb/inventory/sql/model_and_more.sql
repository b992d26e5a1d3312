-- Models as typed that begin with a model on record of their make, over begun_model. Nothing is matched:
-- only a person knows whether "Pika Trail" is a Pika.
SELECT t.candidate_no, 'model' AS column_name, t.model AS value, 'model_and_more' AS rule,
       'warning' AS severity, 'no such model on record; the record has ' || b.on_record AS message,
       'if it is that model, type ' || b.on_record || ' as its model, and the rest as trim or model_year' AS remedy
FROM inventory_rows AS t
JOIN read_make_model AS m ON m.raw_make = t.make AND m.raw_model = t.model
JOIN begun_model AS b ON b.make = m.make AND b.model = m.model
