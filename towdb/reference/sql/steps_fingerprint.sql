-- The steps of a statement as a digest, so that equal lists of steps are known to be one.
-- Printed numbers, warnings and other wording make no difference; the order of steps does, and so
-- does the wording of a step that names neither a target nor a value. Parts are separated by control
-- characters, which no cell can contain; an empty cell is an empty text.
-- fingerprint: SHA-256; equal ones are equal lists of steps
WITH fuse AS (
    SELECT procedure_step_id, STRING_AGG(one, chr(30) ORDER BY one) AS fuses
    FROM (
        SELECT procedure_step_id,
               CONCAT_WS(chr(31), action, device, towdb_data.fold(panel),
                         towdb_data.fold(position), COALESCE(towdb_data.fold(to_position), ''),
                         restore) AS one
        FROM towdb_data.fuse_pull
    ) AS pull
    GROUP BY procedure_step_id
),
step AS (
    SELECT s.eligibility_id, w.order_no AS phase_no, s.step_no,
           CONCAT_WS(
               chr(29), s.phase, s.kind, s.component, s.action, COALESCE(s.target, ''),
               COALESCE(v.dimension || chr(31) || v.canonical, ''),
               COALESCE(towdb_data.fold(s.only_when), ''),
               CASE
                   WHEN s.kind = 'do' AND s.target IS NULL AND s.value IS NULL
                   THEN towdb_data.fold(COALESCE(s.text, s.quote))
                   ELSE ''
               END,
               COALESCE(f.fuses, '')
           ) AS one
    FROM towdb_data.procedure_step AS s
    LEFT JOIN towdb_data.vocabulary_word AS w ON w.vocabulary = 'phase' AND w.word = s.phase
    LEFT JOIN towdb_data.figure AS v
      ON v.table_name = 'procedure_step' AND v.row_key = s.procedure_step_id
     AND v.column_name = 'value'
    LEFT JOIN fuse AS f ON f.procedure_step_id = s.procedure_step_id
    WHERE s.kind <> 'warning'
)
SELECT eligibility_id,
       sha256(STRING_AGG(one, chr(28) ORDER BY phase_no, step_no)) AS fingerprint
FROM step
GROUP BY eligibility_id
ORDER BY eligibility_id
