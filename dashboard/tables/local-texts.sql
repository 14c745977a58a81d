-- Instants as the workshop's clock shows them.
-- $instants JSON list of RFC 3339 texts · $zone IANA name.
-- Gives: instant, local varchar (YYYY-MM-DD HH:MM).
SELECT
  stamp AS "instant",
  strftime(timezone($zone, stamp::timestamptz), '%Y-%m-%d %H:%M') AS "local"
FROM (SELECT unnest($instants::json[])->>'$' AS stamp);
