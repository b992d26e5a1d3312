-- Whether a configuration may be towed flat, and why.
WITH tally AS (
    SELECT configuration_no,
           SUM(CASE WHEN stance = 'forbids' AND is_certain = 1 THEN 1 ELSE 0 END) AS certain_forbids,
           SUM(CASE WHEN stance = 'forbids' THEN 1 ELSE 0 END) AS forbids,
           SUM(CASE WHEN stance = 'defers' THEN 1 ELSE 0 END) AS defers,
           SUM(CASE WHEN stance = 'permits' AND is_certain = 1 AND checked = 1 THEN 1 ELSE 0 END)
               AS good_permits,
           SUM(CASE WHEN stance = 'permits' AND is_certain = 1 AND checked = 0 THEN 1 ELSE 0 END)
               AS unchecked_permits,
           SUM(CASE WHEN is_certain = 0 THEN 1 ELSE 0 END) AS possibles
    FROM statement_after_overrides
    GROUP BY configuration_no
),
decided AS (
    SELECT c.configuration_no,
           CASE
               WHEN c.is_named = 0 THEN 'depends_on_the_car'
               WHEN t.configuration_no IS NULL THEN 'nothing_on_record'
               WHEN t.certain_forbids > 0 AND t.good_permits = 0 THEN 'forbidden'
               WHEN t.good_permits > 0 AND t.forbids = 0 AND t.defers = 0 THEN 'permitted'
               WHEN t.good_permits > 0 AND t.certain_forbids > 0 THEN 'sources_disagree'
               WHEN t.good_permits > 0 AND t.forbids > 0 THEN 'may_be_forbidden'
               WHEN t.defers > 0 THEN 'ask_the_maker'
               WHEN t.unchecked_permits > 0 THEN 'awaits_check'
               WHEN t.possibles > 0 THEN 'depends_on_the_car'
               ELSE 'manual_is_silent'
           END AS reason
    FROM configuration AS c
    LEFT JOIN tally AS t ON t.configuration_no = c.configuration_no
)
SELECT configuration_no, reason,
       CASE reason WHEN 'forbidden' THEN 'not_met' WHEN 'permitted' THEN 'met' ELSE 'unknown' END
           AS outcome
FROM decided
