-- What the copies say of options and confirmations: what was typed, and what an answer adds.
WITH added AS (
    SELECT r.reply_no, r.options_added, r.confirmed_added,
           COALESCE(list_filter(o.items, lambda x: x <> 'none'), []) AS options_had,
           COALESCE(f.items, []) AS confirmed_had
    FROM reply AS r
    JOIN coded AS c ON c.candidate_no = r.candidate_no
    LEFT JOIN read_options AS o ON o.raw = c.options
    LEFT JOIN read_confirmed AS f ON f.raw = c.confirmed
),
joined AS (
    SELECT reply_no,
           CASE WHEN options_added IS NOT NULL THEN list_concat(options_had, options_added)
                ELSE options_had END AS options,
           list_concat(confirmed_had, COALESCE(confirmed_added, [])) AS confirmed,
           options_added IS NOT NULL AS has_options
    FROM added
)
SELECT reply_no,
       CASE WHEN options = [] AND has_options THEN ['none'] ELSE options END AS options, confirmed
FROM joined
