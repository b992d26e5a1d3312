-- truth: A general step depends on a kind of part, a word of such a part, or a part on record.
-- wrong: no part can meet this condition
-- severity: error
WITH kind AS (
    SELECT word FROM towdb_data.vocabulary_word WHERE vocabulary = 'equipment_kind'
),
part_word AS (
    SELECT DISTINCT w.word
    FROM towdb_data.demand AS d
    JOIN towdb_data.vocabulary_word AS w ON w.vocabulary = d.vocabulary
    WHERE d.table_name = 'equipment_property'
    UNION
    SELECT word FROM towdb_data.equipment_property WHERE word IS NOT NULL
)
SELECT 'general_step' AS "table",
       g.general_step_id AS "key",
       'only_if' AS "column",
       g.only_if AS "value",
       'write a kind of equipment, kind=word, or an equipment_id' AS "remedy"
FROM towdb_data.general_step AS g
LEFT JOIN kind AS k ON k.word = split_part(g.only_if, '=', 1)
LEFT JOIN part_word AS p ON p.word = split_part(g.only_if, '=', 2)
LEFT JOIN towdb_data.equipment AS e ON e.equipment_id = g.only_if
WHERE g.only_if IS NOT NULL
  AND (
      e.equipment_id IS NOT NULL
      OR (k.word IS NOT NULL AND (p.word IS NOT NULL OR g.only_if = k.word))
  ) IS NOT TRUE
