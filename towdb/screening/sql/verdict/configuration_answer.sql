-- All that the reference alone decides, one row a configuration.
SELECT c.configuration_no,
       p.outcome AS permission_outcome, p.reason AS permission_reason,
       r.outcome AS procedure_outcome, r.reason AS procedure_reason,
       w.gvwr_least_kg, w.gvwr_most_kg, w.gvwr_largest_rating_kg, w.gvwr_smallest_high_kg,
       w.gvwr_checked_least_kg, w.gvwr_checked_most_kg, w.gvwr_is_certain,
       w.gvwr_is_certain_and_checked, w.curb_least_kg, w.curb_most_kg, w.curb_largest_low_kg,
       w.curb_checked_least_kg, w.curb_is_certain
FROM configuration AS c
JOIN permission AS p ON p.configuration_no = c.configuration_no
JOIN procedure_check AS r ON r.configuration_no = c.configuration_no
LEFT JOIN group_weights AS w ON w.configuration_no = c.configuration_no
