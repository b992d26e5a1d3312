-- truth: Inside a phase the printed numbers follow the order of the steps.
-- wrong: the printed number is lower than that of a step before it
-- severity: warning
-- Steps that came in out of order would be carried out so: the brake off before the engine runs.
-- Only numbers of one form are compared: 9 and 10, 1.2 and 1.10, 3a and 3b, A1 and A2, b) and c).
WITH read AS (
    SELECT procedure_step_id, eligibility_id, phase, step_no, printed_no,
           towdb_data.fold(printed_no) AS folded
    FROM towdb_data.procedure_step
    WHERE printed_no IS NOT NULL
),
numbered AS (
    SELECT *,
           regexp_replace(regexp_extract(folded, '^[^0-9]*[0-9]'), '[^a-z]', '', 'g') AS head,
           CAST(regexp_extract_all(folded, '[0-9]+') AS BIGINT[]) AS figures,
           regexp_extract(folded, '^(.*[0-9])?[^a-z0-9]*([a-z])[^a-z0-9]*$', 2) AS letter
    FROM read
),
ordered AS (
    SELECT procedure_step_id, printed_no, figures, letter,
           lag(printed_no) OVER beside AS printed_before,
           lag(figures) OVER beside AS figures_before,
           lag(letter) OVER beside AS letter_before
    FROM numbered
    WHERE len(figures) > 0 OR letter <> ''
    WINDOW beside AS (
        PARTITION BY eligibility_id, phase, head, len(figures) > 0
        ORDER BY step_no, procedure_step_id
    )
)
SELECT 'procedure_step' AS "table",
       procedure_step_id AS "key",
       'printed_no' AS "column",
       printed_no AS "value",
       'a step before it has ' || printed_before
           || ': put the steps in the order of the page, or correct the number' AS "remedy"
FROM ordered
WHERE printed_before IS NOT NULL
  AND (figures_before < figures
       OR (figures_before = figures AND letter_before <= letter)) IS NOT TRUE
