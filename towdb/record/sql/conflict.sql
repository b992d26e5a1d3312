-- Rows that contradict each other about a car that may belong to both groups, where neither
-- overrides the other: permission against prohibition, two figures for one limit, different steps,
-- two figures for one weight.
WITH override AS (
    SELECT row_key AS statement, target
    FROM towdb_data.link
    WHERE table_name = 'eligibility' AND column_name = 'overrides'
),
statement AS (
    SELECT e.eligibility_id, e.vehicle_group_id, e.towing_method, e.permission, e.source_id,
           e.locator, e.purpose = 'emergency' AS is_emergency,
           coalesce(e.same_steps_as, e.eligibility_id) AS steps_of
    FROM towdb_data.eligibility AS e
),
meeting AS (
    SELECT a.eligibility_id AS one, b.eligibility_id AS other, a.permission AS one_says,
           b.permission AS other_says, a.steps_of AS one_steps, b.steps_of AS other_steps,
           a.source_id AS one_source, a.locator AS one_locator, b.source_id AS other_source,
           b.locator AS other_locator
    FROM overlap AS o
    JOIN statement AS a ON a.vehicle_group_id = o.one
    JOIN statement AS b
      ON b.vehicle_group_id = o.other AND b.towing_method = a.towing_method
     AND b.is_emergency = a.is_emergency AND b.eligibility_id <> a.eligibility_id
    LEFT JOIN override AS up ON up.statement = a.eligibility_id AND up.target = b.eligibility_id
    LEFT JOIN override AS down ON down.statement = b.eligibility_id AND down.target = a.eligibility_id
    WHERE up.statement IS NULL AND down.statement IS NULL
      AND (o.one <> o.other OR a.eligibility_id < b.eligibility_id)
),
both_permit AS (
    SELECT * FROM meeting WHERE one_says = 'permitted' AND other_says = 'permitted'
),
limit_figure AS (
    SELECT l.eligibility_id, l.towing_limit_id, l.quantity, l.bound, l.scope, l.alternative_no,
           l.source_id, l.locator, l.stated, MIN(f.canonical) AS low, MAX(f.canonical) AS high,
           MIN(concat_ws(' ', CAST(l.value AS DOUBLE), coalesce(l.unit, l.stated))) AS shown
    FROM towdb_data.towing_limit AS l
    LEFT JOIN towdb_data.figure AS f
      ON f.table_name = 'towing_limit' AND f.row_key = l.towing_limit_id
    GROUP BY ALL
),
alternative AS (
    SELECT eligibility_id, alternative_no, count(*) AS figures,
           string_agg(shown, ', ' ORDER BY quantity, bound, scope, low) AS shown
    FROM limit_figure
    WHERE alternative_no IS NOT NULL
    GROUP BY eligibility_id, alternative_no
),
choice AS (
    SELECT eligibility_id, count(*) AS alternatives, string_agg(shown, ' or ' ORDER BY shown) AS shown
    FROM alternative
    GROUP BY eligibility_id
),
-- The numbers of alternatives are labels: each alternative needs its equal on the other side,
-- figure by figure.
alike AS (
    SELECT p.one, p.other, a.alternative_no AS one_no, b.alternative_no AS other_no
    FROM both_permit AS p
    JOIN limit_figure AS a ON a.eligibility_id = p.one
    JOIN limit_figure AS b
      ON b.eligibility_id = p.other AND b.quantity = a.quantity AND b.bound = a.bound
     AND b.scope = a.scope AND b.stated = a.stated
     AND coalesce(a.low <= b.high AND b.low <= a.high, TRUE)
    JOIN alternative AS x ON x.eligibility_id = p.one AND x.alternative_no = a.alternative_no
    JOIN alternative AS y ON y.eligibility_id = p.other AND y.alternative_no = b.alternative_no
    GROUP BY p.one, p.other, a.alternative_no, b.alternative_no, x.figures, y.figures
    HAVING count(*) = x.figures AND count(*) = y.figures
),
matched AS (
    SELECT one, other, count(DISTINCT one_no) AS of_one, count(DISTINCT other_no) AS of_other
    FROM alike
    GROUP BY one, other
),
step_fuse AS (
    SELECT procedure_step_id,
           string_agg(
               concat_ws(' ', action, device, panel, position, to_position, restore), ', '
               ORDER BY position
           ) AS fuses
    FROM towdb_data.fuse_pull
    GROUP BY ALL
),
-- For people to read; whether two lists are the same is decided by their fingerprints.
step_list AS (
    SELECT s.eligibility_id,
           string_agg(
               concat_ws(' ', s.phase, CASE WHEN s.kind <> 'do' THEN s.kind END, s.component,
                         s.action, coalesce(s.target, CASE WHEN s.value IS NULL THEN s.text END),
                         CAST(f.canonical AS VARCHAR), s.only_when, p.fuses), '; '
               ORDER BY w.order_no, s.step_no
           ) AS steps
    FROM towdb_data.procedure_step AS s
    JOIN towdb_data.vocabulary_word AS w ON w.vocabulary = 'phase' AND w.word = s.phase
    LEFT JOIN step_fuse AS p ON p.procedure_step_id = s.procedure_step_id
    LEFT JOIN towdb_data.figure AS f
      ON f.table_name = 'procedure_step' AND f.row_key = s.procedure_step_id
     AND f.column_name = 'value'
    WHERE s.kind <> 'warning'
    GROUP BY s.eligibility_id
),
weight AS (
    SELECT p.vehicle_group_id, p.vehicle_property_id, p.property, p.source_id, p.locator,
           MIN(f.canonical) AS low, MAX(f.canonical) AS high,
           MIN(concat_ws(' ', CAST(p.value AS DOUBLE), p.unit)) AS shown
    FROM towdb_data.vehicle_property AS p
    JOIN towdb_data.figure AS f
      ON f.table_name = 'vehicle_property' AND f.row_key = p.vehicle_property_id
     AND f.dimension = 'mass'
    GROUP BY ALL
)
SELECT 'permission' AS about, 'eligibility' AS "table", one AS key, one_says AS says,
       one_source AS source, one_locator AS locator, other AS other_key, other_says,
       other_source, other_locator
FROM meeting
WHERE (one_says = 'permitted') <> (other_says = 'permitted')
  AND one_says <> 'not_addressed' AND other_says <> 'not_addressed'
UNION ALL
SELECT a.quantity || ' ' || a.bound || ' ' || a.scope, 'towing_limit', a.towing_limit_id, a.shown,
       a.source_id, a.locator, b.towing_limit_id, b.shown, b.source_id, b.locator
FROM both_permit AS p
JOIN limit_figure AS a ON a.eligibility_id = p.one
JOIN limit_figure AS b
  ON b.eligibility_id = p.other AND b.quantity = a.quantity AND b.bound = a.bound
 AND b.scope = a.scope
-- Two units printed for one figure may differ by rounding.
WHERE a.alternative_no IS NULL AND b.alternative_no IS NULL
  AND (a.stated <> b.stated OR a.low > b.high OR b.low > a.high)
UNION ALL
SELECT 'alternatives', 'eligibility', p.one, a.shown, p.one_source, p.one_locator, p.other, b.shown,
       p.other_source, p.other_locator
FROM both_permit AS p
JOIN choice AS a ON a.eligibility_id = p.one
JOIN choice AS b ON b.eligibility_id = p.other
LEFT JOIN matched AS m ON m.one = p.one AND m.other = p.other
WHERE (m.of_one = a.alternatives AND m.of_other = b.alternatives) IS NOT TRUE
UNION ALL
SELECT 'steps', 'eligibility', p.one, a.steps, p.one_source, p.one_locator, p.other,
       b.steps, p.other_source, p.other_locator
FROM both_permit AS p
LEFT JOIN towdb_data.steps_fingerprint AS x ON x.eligibility_id = p.one_steps
LEFT JOIN towdb_data.steps_fingerprint AS y ON y.eligibility_id = p.other_steps
LEFT JOIN step_list AS a ON a.eligibility_id = p.one_steps
LEFT JOIN step_list AS b ON b.eligibility_id = p.other_steps
WHERE x.fingerprint IS DISTINCT FROM y.fingerprint
UNION ALL
SELECT a.property, 'vehicle_property', a.vehicle_property_id, a.shown, a.source_id, a.locator,
       b.vehicle_property_id, b.shown, b.source_id, b.locator
FROM overlap AS o
JOIN weight AS a ON a.vehicle_group_id = o.one
JOIN weight AS b
  ON b.vehicle_group_id = o.other AND b.property = a.property
 AND b.vehicle_property_id <> a.vehicle_property_id
 AND (o.one <> o.other OR a.vehicle_property_id < b.vehicle_property_id)
WHERE a.low > b.high OR b.low > a.high
ORDER BY about, key, other_key
