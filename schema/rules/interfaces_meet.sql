-- truth: What a part mates with is a known receiver or socket, or the other side of another part.
-- wrong: nothing on record mates with this
-- severity: warning
WITH side AS (
    SELECT equipment_property_id, equipment_id, property, word
    FROM towdb_data.equipment_property
    WHERE property IN ('coach_side', 'car_side') AND word IS NOT NULL
),
known AS (
    -- Every receiver size and socket of a coach is listed here too.
    SELECT word FROM towdb_data.vocabulary_word WHERE vocabulary = 'interface'
),
-- The first and the last part on each side are enough to see whether another one is there.
facing AS (
    SELECT word, CASE property WHEN 'car_side' THEN 'coach_side' ELSE 'car_side' END AS property,
           min(equipment_id) AS first_part, max(equipment_id) AS last_part
    FROM side
    GROUP BY word, property
)
SELECT 'equipment_property' AS "table",
       s.equipment_property_id AS "key",
       'word' AS "column",
       s.word AS "value",
       'write it as the other part has it, or enter the part that mates with it' AS "remedy"
FROM side AS s
LEFT JOIN known AS k ON k.word = s.word
LEFT JOIN facing AS f ON f.word = s.word AND f.property = s.property
WHERE (
    k.word IS NOT NULL
    OR f.first_part <> s.equipment_id
    OR f.last_part <> s.equipment_id
) IS NOT TRUE
