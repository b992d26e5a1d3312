-- Each coach with its ratings and its loaded weight. Of several figures of one rating the smallest
-- counts, of one weight the largest; a pair of units counts by its smaller figure as a rating, and as
-- an interval as a weight. What nobody has checked may forbid and cannot permit: an unchecked rating
-- lowers the limit and never is the one that allows, an unchecked weight is a low end only.
WITH figure AS (
    SELECT coach_no,
           MIN(CASE WHEN property = 'hitch_receiver' THEN low_kg END) AS receiver_kg,
           MAX(CASE WHEN property = 'hitch_receiver' THEN checked ELSE 0 END) AS receiver_allows,
           MIN(CASE WHEN property = 'hitch_receiver_mode_not_printed' THEN low_kg END)
               AS receiver_no_mode_kg,
           MIN(CASE WHEN property = 'gcwr' THEN low_kg END) AS gcwr_kg,
           MAX(CASE WHEN property = 'gcwr' THEN checked ELSE 0 END) AS gcwr_allows,
           MIN(CASE WHEN property = 'towing_capacity' THEN low_kg END) AS towing_capacity_kg,
           MAX(CASE WHEN property = 'towing_capacity' AND low_kg IS NOT NULL THEN checked ELSE 0
               END) AS towing_capacity_allows,
           MAX(CASE WHEN property = 'towing_capacity' AND is_none_stated = 1 THEN checked ELSE 0
               END) AS capacity_is_none_stated,
           MIN(CASE WHEN property = 'gvwr' THEN low_kg END) AS gvwr_kg,
           MIN(CASE WHEN property = 'gvwr' THEN high_kg END) AS gvwr_high_kg,
           MAX(CASE WHEN property = 'gvwr' THEN checked ELSE 0 END) AS gvwr_allows,
           MAX(CASE WHEN property = 'loaded_weight' THEN low_kg END) AS loaded_low_kg,
           MAX(CASE WHEN property = 'loaded_weight' AND checked = 1 THEN high_kg END)
               AS loaded_high_kg,
           MAX(CASE WHEN property = 'part_loaded_weight' THEN low_kg END) AS part_low_kg,
           MAX(CASE WHEN property = 'part_loaded_weight' AND checked = 1 THEN high_kg END)
               AS part_high_kg,
           MAX(CASE WHEN property = 'still_to_add' THEN low_kg END) AS add_low_kg,
           MAX(CASE WHEN property = 'still_to_add' AND checked = 1 THEN high_kg END)
               AS add_high_kg,
           MAX(CASE WHEN property = 'unloaded_weight' THEN low_kg END) AS unloaded_low_kg
    FROM coach_figure
    GROUP BY coach_no
),
weighed AS (
    SELECT coach_no,
           COALESCE(loaded_low_kg, part_low_kg + add_low_kg) AS weighed_low_kg,
           CASE
               WHEN loaded_low_kg IS NOT NULL THEN loaded_high_kg
               ELSE part_high_kg + add_high_kg
           END AS weighed_high_kg
    FROM figure
),
ends AS (
    SELECT f.coach_no, w.weighed_low_kg, w.weighed_high_kg,
           COALESCE(w.weighed_low_kg, f.part_low_kg, f.unloaded_low_kg) AS low_kg,
           COALESCE(w.weighed_high_kg, CASE WHEN f.gvwr_allows = 1 THEN f.gvwr_high_kg END)
               AS high_kg
    FROM figure AS f
    JOIN weighed AS w ON w.coach_no = f.coach_no
),
gross AS (
    SELECT e.coach_no,
           CASE WHEN e.weighed_low_kg > f.gvwr_kg THEN e.weighed_low_kg
                WHEN f.gvwr_allows = 1 THEN f.gvwr_kg END AS low_kg,
           CASE WHEN f.gvwr_allows = 0 THEN NULL
                WHEN e.weighed_low_kg IS NULL THEN f.gvwr_high_kg
                WHEN e.weighed_high_kg > f.gvwr_high_kg THEN e.weighed_high_kg
                WHEN e.weighed_high_kg IS NOT NULL THEN f.gvwr_high_kg END AS high_kg
    FROM ends AS e
    JOIN figure AS f ON f.coach_no = e.coach_no
),
used AS (
    SELECT e.coach_no,
           CASE WHEN a.weigh_by = 'gvwr' THEN g.low_kg ELSE e.low_kg END AS low_kg,
           CASE WHEN a.weigh_by = 'gvwr' THEN g.high_kg ELSE e.high_kg END AS high_kg,
           e.weighed_low_kg, e.weighed_high_kg, e.low_kg AS known_low_kg
    FROM ends AS e
    CROSS JOIN asked AS a
    JOIN gross AS g ON g.coach_no = e.coach_no
)
SELECT f.coach_no, f.receiver_kg, f.receiver_allows, f.receiver_no_mode_kg,
       f.gcwr_kg, f.gcwr_allows, f.towing_capacity_kg, f.towing_capacity_allows,
       f.capacity_is_none_stated, f.gvwr_kg, f.gvwr_allows,
       u.low_kg AS loaded_low_kg,
       CASE WHEN u.low_kg > u.high_kg THEN NULL ELSE u.high_kg END AS loaded_high_kg,
       u.known_low_kg, u.weighed_low_kg, u.weighed_high_kg
FROM figure AS f
JOIN used AS u ON u.coach_no = f.coach_no
