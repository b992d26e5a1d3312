-- truth: A general sequence has each of its slots once, and none of another sequence.
-- wrong: a slot is missing, is repeated, or is of another sequence
-- severity: error
WITH belongs(sequence, slot) AS (
    VALUES ('coupling', 'vehicle_before_pinned'),
           ('coupling', 'vehicle_pinned'),
           ('driving', 'vehicle_en_route'),
           ('uncoupling', 'vehicle_still_pinned'),
           ('uncoupling', 'vehicle_unpinned')
),
slotted AS (
    SELECT g.general_step_id, g.sequence, g.slot, b.slot IS NOT NULL AS belongs,
           row_number() OVER (
               PARTITION BY g.sequence, g.slot ORDER BY g.step_no, g.general_step_id
           ) AS occurrence
    FROM towdb_data.general_step AS g
    LEFT JOIN belongs AS b ON b.sequence = g.sequence AND b.slot = g.slot
    WHERE g.slot IS NOT NULL
),
first_step AS (
    SELECT sequence, arg_min(general_step_id, step_no) AS general_step_id
    FROM towdb_data.general_step
    GROUP BY sequence
)
SELECT 'general_step' AS "table",
       general_step_id AS "key",
       'slot' AS "column",
       slot AS "value",
       CASE WHEN belongs THEN 'keep one of the two' ELSE 'it is not a slot of ' || sequence END
           AS "remedy"
FROM slotted
WHERE (belongs AND occurrence = 1) IS NOT TRUE
UNION ALL
-- Without its slot the card would leave the car's own steps out.
SELECT 'general_step', f.general_step_id, 'slot', NULL,
       'add a step of kind slot with ' || b.slot || ' to the sequence ' || b.sequence
FROM belongs AS b
JOIN first_step AS f ON f.sequence = b.sequence
LEFT JOIN slotted AS s ON s.sequence = b.sequence AND s.slot = b.slot
WHERE (s.slot IS NOT NULL) IS NOT TRUE
