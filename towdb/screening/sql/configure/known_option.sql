-- The known options of each make and model: those of groups that are checked, themselves and their
-- source, whether the group requires them present or absent.
SELECT DISTINCT o.make_model_no, o.option_no, o.option
FROM towdb_data.option_number AS o
JOIN towdb_data.group_option AS w ON w.option_no = o.option_no
JOIN towdb_data.group_fact AS g ON g.group_no = w.group_no
WHERE g.checked = 1
