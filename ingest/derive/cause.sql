-- The causes of causes.ts. $causes varchar: JSON list. Adds to cause.
INSERT INTO cause
SELECT
  (c ->> 'causeId')::integer, c ->> 'kind',
  make_timestamptz(round((c ->> 'low')::double * 1000)::bigint),
  make_timestamptz(round(((c ->> 'low')::double + (c ->> 'likelyHigh')::double) * 500)::bigint),
  make_timestamptz(round((c ->> 'high')::double * 1000)::bigint),
  make_timestamptz(round((c ->> 'until')::double * 1000)::bigint),
  (SELECT to_json(list(DISTINCT m ->> 'station' ORDER BY m ->> 'station')) FROM (SELECT unnest((c -> 'members')::json[]) AS m)),
  c ->> 'text'
FROM (SELECT unnest($causes::json[]) AS c)
