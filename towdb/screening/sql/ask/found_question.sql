-- The questions, one row an answer. First those with an answer that makes the car suitable; all
-- together in one answer only where no single answer does.
WITH each AS (
    -- For an answer that may be typed in several ways, only what is true of all of them is promised.
    SELECT r.candidate_no, r.coach_no, r.about, r.detail, r.answer, r.group_no, r.bound, r.figure_lb,
           r.figure_kg, r.place, a.coach_no AS behind_no, MIN(r.trial_answer_no) AS trial_answer_no,
           CASE WHEN MIN(a.verdict) = MAX(a.verdict) THEN MIN(a.verdict) ELSE 'undetermined' END
               AS verdict,
           CASE WHEN MIN(a.verdict) = MAX(a.verdict) THEN ARG_MIN(a.then_ask, r.trial_answer_no)
                ELSE MIN(r.about) END AS then_ask
    FROM trial_answer AS r
    JOIN answered AS a ON a.trial_answer_no = r.trial_answer_no
    GROUP BY ALL
),
-- Two sides of a bound with the same result are one answer.
answer AS (
    SELECT e.* REPLACE (
               CASE WHEN p.about IS NULL THEN e.answer WHEN e.bound = 'above' THEN 'more' ELSE 'less'
               END AS answer,
               CASE WHEN p.about IS NULL THEN e.bound END AS bound,
               CASE WHEN p.about IS NULL THEN e.figure_lb END AS figure_lb,
               CASE WHEN p.about IS NULL THEN e.figure_kg END AS figure_kg
           )
    FROM each AS e
    LEFT JOIN each AS p
      ON e.bound IN ('above', 'below') AND p.bound IN ('at_most', 'at_least') AND p.place = 2
     AND p.candidate_no = e.candidate_no AND p.behind_no = e.behind_no AND p.about = e.about
     AND p.verdict = e.verdict
    LEFT JOIN each AS n
      ON e.bound IN ('at_most', 'at_least') AND e.place = 2 AND n.bound IN ('above', 'below')
     AND n.candidate_no = e.candidate_no AND n.behind_no = e.behind_no AND n.about = e.about
     AND n.verdict = e.verdict
    WHERE n.about IS NULL
),
decisive AS (
    SELECT DISTINCT candidate_no, behind_no
    FROM answer
    WHERE verdict = 'suitable' AND about <> 'all_together'
),
whole AS (
    SELECT DISTINCT a.candidate_no, a.behind_no
    FROM answer AS a
    LEFT JOIN decisive AS d ON d.candidate_no = a.candidate_no AND d.behind_no = a.behind_no
    WHERE a.about = 'all_together' AND d.candidate_no IS NULL
),
-- The weight does not matter for these.
plain AS (
    SELECT candidate_no, behind_no, group_no
    FROM answer
    WHERE about = 'all_together' AND verdict = 'suitable' AND bound IS NULL
),
open_pair AS (
    SELECT o.candidate_no, d.coach_no, d.cars, o.check_no, o.place, o.about, o.detail, o.because
    FROM open_question AS o
    JOIN open_verdict AS d
      ON d.candidate_no = o.candidate_no AND (o.coach_no = d.coach_no OR o.coach_no IS NULL)
    UNION ALL
    SELECT w.candidate_no, w.behind_no, 1, 0, 0, 'all_together', NULL, y.because
    FROM whole AS w
    JOIN question_reason AS y ON y.kind = 'together'
),
answered_question AS (
    SELECT q.*, a.trial_answer_no, a.answer, a.bound, a.figure_lb, a.figure_kg, a.verdict, a.then_ask,
           MAX(CASE WHEN a.verdict = 'suitable' THEN 1 ELSE 0 END) OVER (
               PARTITION BY q.candidate_no, q.coach_no, q.about, q.detail
           ) AS is_decisive
    FROM open_pair AS q
    LEFT JOIN answer AS a
      ON a.candidate_no = q.candidate_no AND a.behind_no = q.coach_no AND a.about = q.about
     AND a.detail IS NOT DISTINCT FROM q.detail
    LEFT JOIN plain AS p
      ON p.candidate_no = q.candidate_no AND p.behind_no = q.coach_no AND p.group_no = a.group_no
    WHERE q.about <> 'all_together'
       OR (a.verdict = 'suitable' AND (a.bound IS NULL OR p.group_no IS NULL))
)
SELECT t.candidate_no, t.coach_no, t.cars,
       dense_rank() OVER (
           PARTITION BY t.candidate_no, t.coach_no
           ORDER BY t.is_decisive DESC, t.check_no, t.place, t.about, t.detail
       ) AS position,
       t.about, t.because, w."where", t.answer, t.bound, t.figure_lb, t.figure_kg, t.verdict,
       t.then_ask, t.trial_answer_no
FROM answered_question AS t
LEFT JOIN answer_place AS w ON w.about = t.about
-- Pages on different groups may describe the same whole car.
QUALIFY row_number() OVER (
    PARTITION BY t.candidate_no, t.coach_no, t.about, t.detail, t.answer ORDER BY t.trial_answer_no
) = 1
