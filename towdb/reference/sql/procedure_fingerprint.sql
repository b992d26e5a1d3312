-- What a permitting statement's procedure comes to, so that two that come to the same are one.
-- Printed numbers, warnings and other wording make no difference; the order of steps does, and so
-- does the wording of a step that names neither a target nor a value. A limit printed in two units is
-- the stricter of the two.
-- fingerprint_no: dense number; equal numbers are equal procedures
WITH permitting AS (
    SELECT s.statement_no, e.eligibility_id,
           COALESCE(e.same_steps_as, e.eligibility_id) AS steps_of
    FROM towdb_data.statement_fact AS s
    JOIN towdb_data.eligibility AS e ON e.eligibility_id = s.eligibility_id
    WHERE s.stance = 'permits'
),
span AS (
    SELECT table_name, row_key, dimension, MIN(canonical) AS low, MAX(canonical) AS high
    FROM towdb_data.figure
    WHERE column_name IN ('value', 'also_value')
    GROUP BY table_name, row_key, dimension
),
fuse AS (
    SELECT procedure_step_id, STRING_AGG(said, ';' ORDER BY said) AS fuses
    FROM (
        SELECT procedure_step_id,
               CONCAT_WS('~', action, device, towdb_data.fold(panel), towdb_data.fold(position),
                         COALESCE(towdb_data.fold(to_position), '-'), restore) AS said
        FROM towdb_data.fuse_pull
    ) AS pull
    GROUP BY procedure_step_id
),
step AS (
    SELECT s.eligibility_id, s.step_no,
           CASE s.phase
               WHEN 'once' THEN 1 WHEN 'before' THEN 2 WHEN 'en_route' THEN 3 ELSE 4
           END AS phase_no,
           CONCAT_WS(
               '~', s.phase, s.kind, s.component, s.action, COALESCE(s.target, '-'),
               COALESCE(v.dimension || v.low || '..' || v.high, '-'),
               COALESCE(towdb_data.fold(s.only_when), '-'),
               CASE
                   WHEN s.kind = 'do' AND s.target IS NULL AND s.value IS NULL
                   THEN towdb_data.fold(COALESCE(s.text, s.quote))
                   ELSE '-'
               END,
               COALESCE(f.fuses, '-')
           ) AS said
    FROM towdb_data.procedure_step AS s
    LEFT JOIN span AS v
      ON v.table_name = 'procedure_step' AND v.row_key = s.procedure_step_id
    LEFT JOIN fuse AS f ON f.procedure_step_id = s.procedure_step_id
    WHERE s.kind <> 'warning'
),
steps AS (
    SELECT eligibility_id, STRING_AGG(said, chr(10) ORDER BY phase_no, step_no) AS said
    FROM step
    GROUP BY eligibility_id
),
one_limit AS (
    SELECT l.eligibility_id, l.alternative_no,
           CONCAT_WS('~', l.quantity, l.bound, l.scope, l.stated,
                     COALESCE(
                         CAST(CASE l.bound WHEN 'at_least' THEN v.high ELSE v.low END AS VARCHAR),
                         '-'
                     )) AS said
    FROM towdb_data.towing_limit AS l
    LEFT JOIN span AS v ON v.table_name = 'towing_limit' AND v.row_key = l.towing_limit_id
),
together AS (
    SELECT eligibility_id,
           CASE WHEN alternative_no IS NULL THEN 'always:' ELSE 'or:' END
               || STRING_AGG(DISTINCT said, ';' ORDER BY said) AS said
    FROM one_limit
    GROUP BY eligibility_id, alternative_no
),
limits AS (
    SELECT eligibility_id, STRING_AGG(DISTINCT said, chr(10) ORDER BY said) AS said
    FROM together
    GROUP BY eligibility_id
)
SELECT p.statement_no,
       CAST(DENSE_RANK() OVER (ORDER BY COALESCE(t.said, '') || chr(30) || COALESCE(l.said, ''))
            AS INTEGER) AS fingerprint_no
FROM permitting AS p
LEFT JOIN steps AS t ON t.eligibility_id = p.steps_of
LEFT JOIN limits AS l ON l.eligibility_id = p.eligibility_id
ORDER BY p.statement_no
