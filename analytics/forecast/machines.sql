-- The machines as a forecast needs them, in the workshop file's order.
-- $first date: the day that counts as 0 · $zone IANA name.
-- Gives: machine, groupId, kind varchar, fromDay, untilDay integer (null = not said; untilDay is excluded).
SELECT
  machine AS "machine",
  group_id AS "groupId",
  kind AS "kind",
  (timezone($zone, from_at)::date - $first::date)::integer AS "fromDay",
  (timezone($zone, until_at)::date - $first::date)::integer AS "untilDay"
FROM machine
ORDER BY ordinal;
