-- New ids for all but the first of the sessions that share one.
-- Reads and updates found.
UPDATE found SET session_id = (md5_number_lower(concat(found.session_id, '#', twin.place)) >> 1)::bigint
FROM (
  SELECT rowid AS id, row_number() OVER (
    PARTITION BY session_id ORDER BY station, started_at, badge, closer_at NULLS LAST, closer, starts, rowid) - 1 AS place
  FROM found
  WHERE session_id IN (SELECT session_id FROM found GROUP BY session_id HAVING count(*) > 1)
) AS twin
WHERE twin.id = found.rowid AND twin.place > 0
