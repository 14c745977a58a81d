-- Every task of the workshop file with its part and machine, in the file's order; one row for each basis it is counted in, one row
-- without basis where it goes by a reading alone.
-- Gives: machine, machineName, hazard, kind, part, partName, class, task, taskName varchar, renews, inspects boolean, resets varchar
-- (JSON list), atMost integer, isolate, who, source, note varchar, costPlanned, costFailure, price, leadDays double, stock integer,
-- fittedAt timestamptz, usedLow, usedBest, usedHigh double, readingName, readingUnit varchar, readingLimit double, readingDue
-- varchar, basis varchar, every, firstAfter double.
SELECT
  t.machine AS "machine",
  m.name AS "machineName",
  m.hazard AS "hazard",
  m.kind AS "kind",
  t.part AS "part",
  p.name AS "partName",
  p.class AS "class",
  t.task AS "task",
  t.name AS "taskName",
  t.renews AS "renews",
  t.inspects AS "inspects",
  t.resets AS "resets",
  t.at_most AS "atMost",
  t.isolate AS "isolate",
  t.who AS "who",
  t.source AS "source",
  t.note AS "note",
  t.cost_planned AS "costPlanned",
  t.cost_failure AS "costFailure",
  p.price AS "price",
  p.lead_days AS "leadDays",
  p.stock AS "stock",
  p.fitted_at AS "fittedAt",
  p.used_low AS "usedLow",
  p.used_best AS "usedBest",
  p.used_high AS "usedHigh",
  t.reading_name AS "readingName",
  t.reading_unit AS "readingUnit",
  t.reading_limit AS "readingLimit",
  t.reading_due AS "readingDue",
  l.basis AS "basis",
  l.every AS "every",
  l.first_after AS "firstAfter"
FROM task AS t
JOIN part AS p ON p.machine = t.machine AND p.part = t.part
JOIN machine AS m ON m.machine = t.machine
LEFT JOIN task_limit AS l ON l.machine = t.machine AND l.part = t.part AND l.task = t.task
ORDER BY m.ordinal, p.ordinal, t.ordinal, l.rowid;
