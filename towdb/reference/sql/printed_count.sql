-- How many parts of each sort a statement says that its page prints; empty where it does not say.
-- Steps and fuses that it has from another statement are counted there; its limits are its own.
SELECT eligibility_id, column_name, printed,
       same_steps_as IS NOT NULL AND column_name <> 'limits' AS is_shared
FROM towdb_data.eligibility
UNPIVOT INCLUDE NULLS (
    printed FOR column_name IN (steps_before, steps_en_route, steps_after, fuse_pulls, limits)
)
