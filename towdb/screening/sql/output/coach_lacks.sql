-- The figures that are missing or not checked, without which it is not known what a coach can pull.
-- coach: the stem of the coach's file, or its id on record
-- about: what to find out
SELECT n.coach, k.about
FROM coach_rating AS r
JOIN coach_name AS n ON n.coach_no = r.coach_no
CROSS JOIN LATERAL (
    VALUES (1, 'receiver_mode', r.receiver_kg IS NULL AND r.receiver_no_mode_kg IS NOT NULL),
           (2, 'hitch_receiver', r.receiver_allows = 0 AND (r.receiver_kg IS NOT NULL
                                                            OR r.receiver_no_mode_kg IS NULL)),
           (3, 'gcwr', r.gcwr_allows = 0),
           (4, 'towing_capacity', r.towing_capacity_allows = 0
               AND (r.towing_capacity_kg IS NOT NULL OR r.capacity_is_none_stated = 0)),
           (5, 'loaded_weight', r.loaded_high_kg IS NULL),
           (6, 'coach_gvwr', r.gvwr_allows = 0)
) AS k(place, about, is_lacking)
WHERE k.is_lacking
ORDER BY n.coach_no, k.place
