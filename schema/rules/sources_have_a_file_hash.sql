-- truth: Every source has the hash of its file on record.
-- wrong: a source has no file hash
-- severity: warning
SELECT 'source' AS "table",
       source_id AS "key",
       'file_sha256' AS "column",
       file_sha256 AS "value",
       'attach a scan or photograph, so that the page can be looked at again' AS "remedy"
FROM towdb_data.source
WHERE (file_sha256 IS NOT NULL) IS NOT TRUE
