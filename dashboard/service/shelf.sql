-- What is on the shelf for each part: its last count (else what the workshop file says), and what came and went since. What went
-- with a record that no longer counts is back.
-- $machine, $part varchar, null = all · $as_of timestamptz.
-- Gives: machine, part, class varchar, inStock integer (null = nobody said), countedAt timestamptz (null = by the workshop file),
-- bought, used integer since then, price, leadDays double, serials varchar (JSON list of {serial, fittedAt, isFitted}).
WITH move AS (
  SELECT m.*
  FROM stock_move AS m
  WHERE m.moved_at <= $as_of::timestamptz
    AND (m.record_id IS NULL OR m.record_id IN (SELECT record_id FROM service_known))
), last_count AS (
  SELECT machine, part, max(moved_at) AS counted_at, arg_max(pieces, (moved_at, move_id)) AS pieces, arg_max(move_id, (moved_at, move_id)) AS move_id
  FROM move
  WHERE kind = 'count'
  GROUP BY machine, part
), since AS (
  SELECT
    m.machine,
    m.part,
    sum(CASE WHEN m.kind = 'bought' THEN m.pieces ELSE 0 END)::integer AS bought,
    sum(CASE WHEN m.kind IN ('used', 'scrapped') THEN m.pieces ELSE 0 END)::integer AS used
  FROM move AS m
  LEFT JOIN last_count AS c ON c.machine = m.machine AND c.part = m.part
  WHERE m.kind <> 'count' AND (c.counted_at IS NULL OR (m.moved_at, m.move_id) > (c.counted_at, c.move_id))
  GROUP BY m.machine, m.part
), fitted AS (
  SELECT
    r.machine,
    r.part,
    r.serial,
    max(coalesce(r.done_until, r.done_at)) AS fitted_at
  FROM service_known AS r
  WHERE r.serial IS NOT NULL AND coalesce(r.done_until, r.done_at) <= $as_of::timestamptz
  GROUP BY r.machine, r.part, r.serial
), serial AS (
  SELECT
    machine,
    part,
    to_json(list({
      'serial': serial,
      'fittedAt': strftime(timezone('UTC', fitted_at), '%Y-%m-%dT%H:%M:%SZ'),
      'isFitted': fitted_at = newest_at
    } ORDER BY fitted_at DESC)) AS serials
  FROM (SELECT *, max(fitted_at) OVER (PARTITION BY machine, part) AS newest_at FROM fitted)
  GROUP BY machine, part
)
SELECT
  p.machine AS "machine",
  p.part AS "part",
  p.class AS "class",
  -- greatest() passes over what is null; where nobody said, nobody knows.
  CASE
    WHEN coalesce(c.pieces, p.stock, CASE WHEN s.bought > 0 THEN 0 END) IS NOT NULL
    THEN greatest(0, coalesce(c.pieces, p.stock, 0) + coalesce(s.bought, 0) - coalesce(s.used, 0))
  END::integer AS "inStock",
  c.counted_at AS "countedAt",
  coalesce(s.bought, 0) AS "bought",
  coalesce(s.used, 0) AS "used",
  p.price AS "price",
  p.lead_days AS "leadDays",
  coalesce(r.serials, '[]')::varchar AS "serials"
FROM part AS p
JOIN machine AS m ON m.machine = p.machine
LEFT JOIN last_count AS c ON c.machine = p.machine AND c.part = p.part
LEFT JOIN since AS s ON s.machine = p.machine AND s.part = p.part
LEFT JOIN serial AS r ON r.machine = p.machine AND r.part = p.part
WHERE ($machine::varchar IS NULL OR p.machine = $machine::varchar) AND ($part::varchar IS NULL OR p.part = $part::varchar)
ORDER BY m.ordinal, p.ordinal;
