-- A statement's limits, steps and fuse pulls, in printed order: limits first, then the phases.
-- position: order inside the statement
-- sort: limit, step or fuse_pull
-- phase: once, before, en_route or after; empty for a limit
-- what: the step in words, the fuse with its panel and position, or the limit
-- shared: whether the statement has this step by same_steps_as
-- table_name, row_key: the row that has it
WITH own AS (
    SELECT e.eligibility_id, s.procedure_step_id, s.phase, s.step_no, s.printed_no, s.kind,
           COALESCE(s.text, s.quote) AS what, s.only_when, s.value, s.unit,
           e.same_steps_as IS NOT NULL AS shared, s.source_id, s.locator, s.quote,
           w.order_no AS phase_no
    FROM towdb_data.eligibility AS e
    JOIN towdb_data.procedure_step AS s
      ON s.eligibility_id = COALESCE(e.same_steps_as, e.eligibility_id)
    JOIN towdb_data.vocabulary_word AS w ON w.vocabulary = 'phase' AND w.word = s.phase
),
listed AS (
    SELECT eligibility_id, 'step' AS sort, phase, step_no, printed_no, kind, what, only_when,
           value, unit, shared, 'procedure_step' AS table_name, procedure_step_id AS row_key,
           source_id, locator, quote, phase_no, 0 AS below
    FROM own
    UNION ALL
    SELECT o.eligibility_id, 'fuse_pull', o.phase, o.step_no, o.printed_no, f.action,
           f.device || ' ' || f.position || ' in ' || f.panel
               || COALESCE(' to ' || f.to_position, '')
               || CASE f.restore
                      WHEN 'before_engine_start' THEN '; back before the engine is started'
                      WHEN 'before_driving' THEN '; back before driving'
                      ELSE '; when to put it back is not stated'
                  END,
           o.only_when, f.rating_a, CASE WHEN f.rating_a IS NOT NULL THEN 'A' END, o.shared,
           'fuse_pull', f.fuse_pull_id, f.source_id, f.locator, f.quote, o.phase_no, 1
    FROM own AS o
    JOIN towdb_data.fuse_pull AS f ON f.procedure_step_id = o.procedure_step_id
    UNION ALL
    SELECT l.eligibility_id, 'limit', NULL, NULL, NULL, l.bound,
           l.quantity || ' ' || l.bound || ', ' || l.scope || ', ' || l.stated
               || COALESCE('; alternative ' || l.alternative_no, ''),
           NULL, l.value, l.unit, FALSE, 'towing_limit', l.towing_limit_id,
           l.source_id, l.locator, l.quote, 0, COALESCE(l.alternative_no, 0)
    FROM towdb_data.towing_limit AS l
)
SELECT eligibility_id,
       ROW_NUMBER() OVER (
           PARTITION BY eligibility_id ORDER BY phase_no, step_no, below, row_key
       ) AS position,
       sort, phase, step_no, printed_no, kind, what, only_when, value, unit, shared,
       table_name, row_key, source_id, locator, quote
FROM listed
