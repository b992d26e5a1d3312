-- A build date as the number of bounds of its make and model at or before it.
SELECT c.make_model_no, c.built_low, c.built_high,
       COUNT(*) FILTER (WHERE b.starts_on <= c.built_low) AS low_no,
       COUNT(*) FILTER (WHERE b.starts_on <= c.built_high) AS high_no
FROM (
    SELECT DISTINCT make_model_no, built_low, built_high FROM coded WHERE built_low IS NOT NULL
) AS c
JOIN towdb_data.build_bound AS b ON b.make_model_no = c.make_model_no
GROUP BY ALL
