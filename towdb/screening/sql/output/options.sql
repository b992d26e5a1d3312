-- Every option that a group of the reference names.
SELECT DISTINCT option FROM towdb_data.option_number ORDER BY option
