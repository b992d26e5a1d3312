-- Options and confirmations of the copies: what was typed, and what an answer adds. An option added to
-- `none` replaces it.
WITH added AS (
    SELECT r.trial_answer_no, r.options_added, COALESCE(o.items, []) AS options_typed,
           COALESCE(r.confirmed_added, []) AS confirmed_added, COALESCE(f.items, []) AS confirmed_had
    FROM trial_answer AS r
    JOIN coded AS c ON c.candidate_no = r.candidate_no
    LEFT JOIN read_options AS o ON o.raw = c.options
    LEFT JOIN read_confirmed AS f ON f.raw = c.confirmed
),
joined AS (
    SELECT a.*,
           list_concat(list_filter(options_typed, lambda x: x <> 'none'), options_added) AS options_now
    FROM added AS a
)
SELECT trial_answer_no,
       CASE WHEN options_added IS NULL THEN options_typed
            WHEN options_now = [] THEN ['none']
            ELSE options_now END AS options,
       list_concat(confirmed_had, confirmed_added) AS confirmed
FROM joined
