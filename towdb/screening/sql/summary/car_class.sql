-- Cars of one group that no coach distinguishes, counted: one represents all of them. The weight of a
-- car that may not be towed flat does not matter.
SELECT CAST(row_number() OVER () AS INTEGER) AS car_class_no, p.*
FROM (
    SELECT g.group_no, t.permission_outcome, t.permission_reason, t.procedure_outcome,
           t.procedure_reason, t.gross_outcome, t.gross_reason,
           CASE WHEN t.permission_outcome <> 'not_met' THEN t.gross_margin_kg END AS gross_margin_kg,
           CASE WHEN t.permission_outcome <> 'not_met' THEN t.low_kg END AS low_kg,
           CASE WHEN t.permission_outcome <> 'not_met' THEN t.high_kg END AS high_kg,
           CASE WHEN t.permission_outcome <> 'not_met' THEN t.weighing_contradicts ELSE 0 END
               AS weighing_contradicts,
           COUNT(*) AS cars
    FROM towed AS t
    LEFT JOIN grouped AS g ON g.candidate_no = t.candidate_no
    GROUP BY ALL
) AS p
