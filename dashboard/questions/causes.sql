-- What ended or silenced stations, inferred once for all that it hit, newest first.
-- $since, $until timestamptz, null = unbounded · $zone IANA name.
-- Gives: kind varchar, "fromLow", "fromBest", "fromHigh", "until" timestamptz, stations varchar (JSON list), text varchar,
-- by the local clock: day varchar (YYYY-MM-DD) of "fromBest", "clockLow", "clockHigh", "clockUntil" varchar (HH:MM).
SELECT
  kind AS "kind",
  from_low AS "fromLow",
  from_best AS "fromBest",
  from_high AS "fromHigh",
  until_at AS "until",
  strftime(timezone($zone, from_best), '%Y-%m-%d') AS "day",
  strftime(timezone($zone, from_low), '%H:%M') AS "clockLow",
  strftime(timezone($zone, from_high), '%H:%M') AS "clockHigh",
  strftime(timezone($zone, until_at), '%H:%M') AS "clockUntil",
  stations AS "stations",
  text AS "text"
FROM cause
WHERE ($since::timestamptz IS NULL OR from_high >= $since::timestamptz) AND ($until::timestamptz IS NULL OR from_low < $until::timestamptz)
ORDER BY from_best DESC;
