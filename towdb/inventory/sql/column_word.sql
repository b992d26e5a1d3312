-- The most frequent texts of each column.
SELECT column_name, text, cars
FROM column_text
QUALIFY row_number() OVER (PARTITION BY column_name ORDER BY cars DESC, text) <= 40
ORDER BY column_name, cars DESC, text
