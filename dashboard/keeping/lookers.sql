-- Who saw member data since a moment. The trail doesn't say whose, so that it tells nothing of members itself.
-- $since timestamptz, null = ever.
-- Gives: who, what varchar, times int, "lastAt" timestamptz.
SELECT who AS "who", what AS "what", count(*)::int AS "times", max(at_time) AS "lastAt"
FROM trail
WHERE act = 'saw' AND ($since::timestamptz IS NULL OR at_time >= $since::timestamptz)
GROUP BY who, what
ORDER BY max(at_time) DESC, who, what;
