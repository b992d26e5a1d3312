-- The remark on each make and model that is not on record, over compared_name. A name that was not
-- compared has a kind of its own, so that nobody takes it for a name unlike all on record.
SELECT u.make, u.model,
       CASE WHEN u.on_record IS NOT NULL THEN 'model_and_more'
            ELSE CASE WHEN u.known_make IS NULL THEN 'unknown_make' ELSE 'unknown_model' END
                 || CASE WHEN c.name IS NULL THEN '_among_many' ELSE '' END
       END AS kind,
       COALESCE(u.on_record, c.near) AS near
FROM unmatched_name AS u
LEFT JOIN compared_name AS c
  ON c.name = u.to_compare AND c.known_make IS NOT DISTINCT FROM u.known_make
