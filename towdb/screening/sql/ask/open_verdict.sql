-- The verdicts that are open.
SELECT d.*, 1 AS cars FROM verdict_kg AS d WHERE d.verdict = 'undetermined'
