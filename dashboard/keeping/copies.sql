-- Copies made since a moment: backups, exports, stores of older versions.
-- $since timestamptz, null = ever.
-- Gives: kind, path varchar, "madeAt" timestamptz.
SELECT kind AS "kind", path AS "path", made_at AS "madeAt"
FROM copy_made
WHERE $since::timestamptz IS NULL OR made_at >= $since::timestamptz
ORDER BY made_at, path;
