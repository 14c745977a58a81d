-- The local days of instants.
-- $zone IANA name · $instants JSON list of RFC 3339 texts.
-- Gives: instant varchar as given, day varchar yyyy-mm-dd.
SELECT instant, timezone($zone, instant::timestamptz)::date::varchar AS day
FROM (SELECT DISTINCT unnest(from_json_strict($instants, '["VARCHAR"]')) AS instant)
