-- What the cells of each column look like, counted in cars: nothing is decided here.
WITH part AS (
    SELECT
        *,
        regexp_extract(text, '^([0-9]{1,2})([/.-])([0-9]{1,2})[/.-][0-9]{4}$', 1) AS first_part,
        regexp_extract(text, '^([0-9]{1,2})([/.-])([0-9]{1,2})[/.-][0-9]{4}$', 3) AS second_part,
        TRY_CAST(replace(replace(text, ',', ''), ' ', '') AS DOUBLE) AS figure
    FROM column_text
),

numbered AS (
    SELECT
        *,
        TRY_CAST(first_part AS INTEGER) AS first_no,
        TRY_CAST(second_part AS INTEGER) AS second_no
    FROM part
)

SELECT
    column_name,
    CAST(SUM(cars) AS BIGINT) AS cars,
    COUNT(*) AS texts,
    SUM(CASE WHEN regexp_full_match(upper(text), '[A-HJ-NPR-Z0-9]{17}')
        AND regexp_matches(text, '[0-9]') AND regexp_matches(text, '[A-Za-z]')
        THEN cars ELSE 0 END)::BIGINT AS vins,
    SUM(CASE WHEN regexp_full_match(text, '(19|20)[0-9]{2}') THEN cars ELSE 0 END)::BIGINT
        AS years,
    SUM(CASE WHEN figure IS NOT NULL THEN cars ELSE 0 END)::BIGINT AS bare,
    SUM(CASE WHEN regexp_full_match(text, '[0-9]{4}-[0-9]{2}(-[0-9]{2})?')
        THEN cars ELSE 0 END)::BIGINT AS iso_dates,
    SUM(CASE WHEN first_no > 12 AND second_no <= 12 THEN cars ELSE 0 END)::BIGINT AS day_first,
    SUM(CASE WHEN first_no <= 12 AND second_no > 12 THEN cars ELSE 0 END)::BIGINT AS month_first,
    SUM(CASE WHEN first_no <= 12 AND second_no <= 12 THEN cars ELSE 0 END)::BIGINT AS either_first,
    SUM(CASE WHEN regexp_full_match(text, '[0-9]{4}[/.][0-9]{1,2}[/.][0-9]{1,2}')
        THEN cars ELSE 0 END)::BIGINT AS year_first,
    SUM(CASE WHEN regexp_full_match(text, '[0-9]{1,2}[/.-][0-9]{4}')
        THEN cars ELSE 0 END)::BIGINT AS months,
    MIN(figure) AS least,
    MAX(figure) AS most
FROM numbered
GROUP BY column_name
