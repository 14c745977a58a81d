-- Which cause each boot belongs to. $causes varchar: JSON list of causes.ts. Makes cause_member: station, boot_at, cause_id.
CREATE OR REPLACE TEMP TABLE cause_member AS
SELECT m ->> 'station' AS station, make_timestamptz(round((m ->> 'high')::double * 1000)::bigint) AS boot_at, cause_id
FROM (
  SELECT (c ->> 'causeId')::integer AS cause_id, unnest((c -> 'members')::json[]) AS m
  FROM (SELECT unnest($causes::json[]) AS c)
  WHERE c ->> 'kind' IN ('power-cut', 'contact')
)
