-- The words of each configuration.
SELECT configuration_no, word[0] AS attribute_no, word[1] AS word_no
FROM (SELECT configuration_no, explode(told.words) AS word FROM told) AS w
