-- Instants on the workshop's own clock.
-- $zone IANA name · $instants JSON list of RFC 3339 texts.
-- Gives: instant varchar as given, day varchar yyyy-mm-dd, hours double (of the clock, 0 to 24).
SELECT
  instant,
  timezone($zone, instant::timestamptz)::date::varchar AS day,
  (epoch_us(timezone($zone, instant::timestamptz)) - epoch_us(date_trunc('day', timezone($zone, instant::timestamptz)))) / 3.6e9 AS hours
FROM (SELECT DISTINCT unnest(from_json_strict($instants, '["VARCHAR"]')) AS instant);
