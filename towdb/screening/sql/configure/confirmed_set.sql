-- Confirmations of the same groups share a number.
SELECT make_model_no, confirmed, dense_rank() OVER (ORDER BY make_model_no, group_list) AS set_no
FROM (
    SELECT make_model_no, confirmed,
           string_agg(group_no::VARCHAR, ',' ORDER BY group_no) AS group_list
    FROM confirmed_group
    GROUP BY ALL
) AS s
