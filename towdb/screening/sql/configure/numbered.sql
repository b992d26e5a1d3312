-- Every word by attribute; make_model_no 0: for every make and model.
SELECT a.attribute, w.word, w.word_no, COALESCE(w.make_model_no, 0) AS make_model_no
FROM towdb_data.word_number AS w
JOIN towdb_data.attribute AS a ON a.attribute_no = w.attribute_no
