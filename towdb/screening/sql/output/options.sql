-- Every option that is known of any make and model.
SELECT DISTINCT option FROM known_option ORDER BY option
