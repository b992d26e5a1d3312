-- Each coach with its ratings and its loaded weight. Of several figures of one rating the smallest
-- counts, of a pair of units the smaller. A rating allows only if the figure that counts has been
-- checked; an unchecked one may still forbid.
WITH smallest AS (
    SELECT coach_no, property, MIN(low_kg) AS limit_kg
    FROM coach_figure
    WHERE low_kg IS NOT NULL
    GROUP BY coach_no, property
),
rating AS (
    SELECT s.coach_no, s.property, s.limit_kg, MAX(f.checked) AS allows
    FROM smallest AS s
    JOIN coach_figure AS f
      ON f.coach_no = s.coach_no AND f.property = s.property AND f.low_kg = s.limit_kg
    GROUP BY s.coach_no, s.property, s.limit_kg
),
stated AS (
    SELECT coach_no,
           MAX(CASE WHEN property = 'towing_capacity' AND is_none_stated = 1 THEN checked ELSE 0
               END) AS capacity_is_none_stated
    FROM coach_figure
    GROUP BY coach_no
)
SELECT s.coach_no, s.capacity_is_none_stated,
       receiver.limit_kg AS receiver_kg, COALESCE(receiver.allows, 0) AS receiver_allows,
       no_mode.limit_kg AS receiver_no_mode_kg,
       gcwr.limit_kg AS gcwr_kg, COALESCE(gcwr.allows, 0) AS gcwr_allows,
       capacity.limit_kg AS towing_capacity_kg,
       COALESCE(capacity.allows, 0) AS towing_capacity_allows,
       gvwr.limit_kg AS gvwr_kg, COALESCE(gvwr.allows, 0) AS gvwr_allows,
       w.low_kg AS loaded_low_kg, w.high_kg AS loaded_high_kg,
       w.least_kg AS known_low_kg, w.weighed_high_kg, w.ticket_kg,
       w.contradicts AS loaded_contradicts
FROM stated AS s
JOIN coach_weight AS w ON w.coach_no = s.coach_no
LEFT JOIN rating AS receiver
  ON receiver.coach_no = s.coach_no AND receiver.property = 'hitch_receiver'
LEFT JOIN rating AS no_mode
  ON no_mode.coach_no = s.coach_no AND no_mode.property = 'hitch_receiver_mode_not_printed'
LEFT JOIN rating AS gcwr ON gcwr.coach_no = s.coach_no AND gcwr.property = 'gcwr'
LEFT JOIN rating AS capacity
  ON capacity.coach_no = s.coach_no AND capacity.property = 'towing_capacity'
LEFT JOIN rating AS gvwr ON gvwr.coach_no = s.coach_no AND gvwr.property = 'gvwr'
