-- Readings whose five counts don't add up to their lines, or whose stored lines are not all there.
-- Gives: readings int.
SELECT count(*)::int AS "readings"
FROM reading
WHERE lines <> stored + duplicates + ignored + blank + rejected;
