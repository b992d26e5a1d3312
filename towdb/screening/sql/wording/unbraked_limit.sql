-- The lowest limit of each coach for a car without brakes.
SELECT coach_no, low_kg, key, property
FROM coach_figure
WHERE property = 'unbraked_towed_max' AND low_kg IS NOT NULL
QUALIFY row_number() OVER (PARTITION BY coach_no ORDER BY low_kg, key) = 1
