-- What the statements that may apply require, and what the coach requires.
-- candidate: what the person calls the car
-- coach: the stem of the coach's file, or its id on record
-- kind: speed, distance, time, engine_run, rest, ambient_temperature, grade, battery_voltage, fuse, step, accessory or brakes
-- depends_on: where procedures differ, the cars that this one is for
-- position: place in the procedure of the statement, in printed order: limits, then once, before, en_route, after
-- phase: when it is done; a fuse has phase and numbers of its step; empty: a limit, or brakes
-- step_kind: do, verify, wait, never or warning; empty: not a step
-- text: the condition in words
-- value, unit: its figure, as printed
-- also_value, also_unit: the same in another unit, where the page prints both
-- table, key: the row that it comes from
SELECT n.candidate, c.coach, d.kind, d.alternative_no, d.depends_on, d.position,
       d.phase, d.step_no, d.printed_no, d.step_kind, d.text, d.expect, d.if_not,
       d.disables, d.restore, d.value, d.unit, d.also_value, d.also_unit, d.eligibility_id,
       d.table_name AS "table", d.row_key AS key
FROM verdict_condition AS d
JOIN candidate AS n ON n.candidate_no = d.candidate_no
JOIN coach_name AS c ON c.coach_no = d.coach_no
ORDER BY d.coach_no, d.candidate_no, d.eligibility_id, d.position, d.row_key
