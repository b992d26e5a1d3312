-- truth: No statement forbids what another permits, unless one of them overrides the other.
-- wrong: another statement forbids this for vehicles of both
-- severity: warning
WITH statement AS (
    SELECT eligibility_id, vehicle_group_id, permission, towing_method,
           purpose = 'emergency' AS is_emergency
    FROM towdb_data.eligibility
),
override AS (
    SELECT row_key AS statement, target
    FROM towdb_data.link
    WHERE table_name = 'eligibility' AND column_name = 'overrides'
),
overlap AS MATERIALIZED (
    SELECT one, other FROM towdb_data.group_overlap
),
meeting AS (
    SELECT one, other FROM overlap
    UNION
    SELECT other, one FROM overlap
)
SELECT 'eligibility' AS "table",
       yes.eligibility_id AS "key",
       'permission' AS "column",
       'permitted' AS "value",
       no.eligibility_id || ' forbids it: narrow one of the two groups,'
           || ' or make the exception override the rule' AS "remedy"
FROM meeting AS m
JOIN statement AS yes ON yes.vehicle_group_id = m.one AND yes.permission = 'permitted'
JOIN statement AS no
    ON no.vehicle_group_id = m.other
   AND no.permission IN ('prohibited', 'not_recommended')
   AND no.towing_method = yes.towing_method
   AND no.is_emergency = yes.is_emergency
LEFT JOIN override AS up
    ON up.statement = yes.eligibility_id AND up.target = no.eligibility_id
LEFT JOIN override AS down
    ON down.statement = no.eligibility_id AND down.target = yes.eligibility_id
WHERE (up.statement IS NOT NULL OR down.statement IS NOT NULL) IS NOT TRUE
