-- Opening hours that overlap a span.
-- $from, $until timestamptz, until excluded.
-- Gives: "from", "until" timestamptz, state varchar (staffed, member).
SELECT from_at AS "from", until_at AS "until", state
FROM opening
WHERE from_at < $until::timestamptz AND until_at > $from::timestamptz
ORDER BY from_at;
