-- The decisions that are open.
SELECT d.*, 1 AS cars FROM decision AS d WHERE d.verdict = 'undetermined'
