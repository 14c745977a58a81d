-- What ended or silenced stations, inferred once for all that it hit, newest first.
-- $since, $until timestamptz, null = unbounded.
-- Gives: kind varchar, "fromLow", "fromBest", "fromHigh", "until" timestamptz, stations varchar (JSON list), text varchar.
SELECT
  kind AS "kind",
  from_low AS "fromLow",
  from_best AS "fromBest",
  from_high AS "fromHigh",
  until_at AS "until",
  stations AS "stations",
  text AS "text"
FROM cause
WHERE ($since::timestamptz IS NULL OR from_high >= $since::timestamptz) AND ($until::timestamptz IS NULL OR from_low < $until::timestamptz)
ORDER BY from_best DESC;
