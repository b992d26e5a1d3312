-- truth: A fuse that is moved or swapped has a second position, and no other has.
-- wrong: a second position goes with move and swap
-- severity: error
SELECT 'fuse_pull' AS "table",
       fuse_pull_id AS "key",
       'to_position' AS "column",
       to_position AS "value",
       CASE
           WHEN to_position IS NULL THEN 'enter the position to which it goes'
           ELSE 'leave it empty, or write move or swap as the action'
       END AS "remedy"
FROM towdb_data.fuse_pull
WHERE action IS NOT NULL
  AND ((to_position IS NOT NULL) = (action IN ('move', 'swap'))) IS NOT TRUE
