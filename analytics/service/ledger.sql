-- Windows as they were issued, and what came of them as far as it was known at a time.
-- $since, $today date: issued between them · $as_of timestamptz.
-- Gives: windowId integer, issuedAt timestamptz, machine, part, task, basis varchar, used, interval double, early, median, late,
-- crossed varchar (dates), doneAt timestamptz (the task was next done), result varchar (held, missed, open), in order.
SELECT
  w.window_id::integer AS "windowId",
  w.issued_at AS "issuedAt",
  w.machine AS "machine",
  w.part AS "part",
  w.task AS "task",
  w.basis AS "basis",
  w.used AS "used",
  w.limit_used AS "interval",
  w.early_day::varchar AS "early",
  w.median_day::varchar AS "median",
  w.late_day::varchar AS "late",
  o.crossed_day::varchar AS "crossed",
  (
    SELECT min(s.done_at)
    FROM service_known AS s
    WHERE s.machine = w.machine AND s.part = w.part AND s.task = w.task AND s.done_at > w.issued_at AND s.done_at <= $as_of::timestamptz
  ) AS "doneAt",
  CASE
    WHEN o.crossed_day BETWEEN w.early_day AND w.late_day THEN 'held'
    -- A window without an end on that side holds where the day lies beyond its other end.
    WHEN o.crossed_day IS NOT NULL AND w.late_day IS NULL AND o.crossed_day >= w.early_day THEN 'held'
    WHEN o.crossed_day IS NOT NULL OR w.late_day < $today::date THEN 'missed'
    ELSE 'open'
  END AS "result"
FROM due_window AS w
LEFT JOIN due_outcome AS o ON o.window_id = w.window_id AND o.noted_at <= $as_of::timestamptz
WHERE w.issued_day BETWEEN $since::date AND $today::date AND w.issued_at <= $as_of::timestamptz
ORDER BY w.window_id;
