-- Whether one complete, checked procedure is determined: chosen by the candidate, or the same in
-- every statement that may apply.
WITH chosen AS (
    SELECT c.configuration_no, 1 AS is_certain
    FROM configuration AS c
    JOIN considered AS s
      ON s.configuration_no = c.configuration_no AND s.statement_no = c.procedure_no
    LEFT JOIN (
        SELECT DISTINCT t.configuration_no, o.target_no
        FROM considered AS t
        JOIN towdb_data.override AS o ON o.statement_no = t.statement_no
    ) AS r ON r.configuration_no = c.configuration_no AND r.target_no = c.procedure_no
    WHERE s.is_certain = 1 AND s.checked = 1 AND r.target_no IS NULL
),
spread AS (
    SELECT configuration_no, MIN(fingerprint_no) AS first_no, MAX(fingerprint_no) AS last_no
    FROM considered
    GROUP BY configuration_no
),
decided AS (
    SELECT c.configuration_no,
           CASE
               WHEN p.outcome <> 'met' THEN 'permission_not_met'
               WHEN c.procedure_no IS NOT NULL AND k.is_certain = 1 THEN 'chosen'
               WHEN c.procedure_no IS NOT NULL THEN 'chosen_not_sure'
               WHEN s.first_no = s.last_no THEN 'determined'
               ELSE 'procedures_differ'
           END AS reason
    FROM configuration AS c
    JOIN permission AS p ON p.configuration_no = c.configuration_no
    LEFT JOIN chosen AS k ON k.configuration_no = c.configuration_no
    LEFT JOIN spread AS s ON s.configuration_no = c.configuration_no
)
SELECT configuration_no, reason,
       CASE
           WHEN reason = 'permission_not_met' THEN 'not_applicable'
           WHEN reason IN ('chosen', 'determined') THEN 'met'
           ELSE 'unknown'
       END AS outcome
FROM decided
