-- Which of some lines are in the record already, in every field, also where they were undone or corrected since.
-- $rows JSON list of {line, machine, part, task, done_at, done_until, found, why, meter_hours, readings, cost, note, done_by, serial}.
-- Gives: line integer.
SELECT DISTINCT l.line AS "line"
FROM (
  SELECT unnest(
    from_json_strict(
      $rows,
      '[{"line":"INTEGER","machine":"VARCHAR","part":"VARCHAR","task":"VARCHAR","done_at":"TIMESTAMPTZ","done_until":"TIMESTAMPTZ",
         "found":"VARCHAR","why":"VARCHAR","meter_hours":"DOUBLE","readings":"VARCHAR","cost":"DOUBLE","note":"VARCHAR",
         "done_by":"VARCHAR","serial":"VARCHAR"}]'
    ),
    max_depth := 2
  )
) AS l
JOIN service_record AS r
  ON r.machine = l.machine AND r.part = l.part AND r.task = l.task AND r.done_at = l.done_at AND r.found = l.found
  AND r.done_until IS NOT DISTINCT FROM l.done_until AND r.why IS NOT DISTINCT FROM l.why
  AND r.meter_hours IS NOT DISTINCT FROM l.meter_hours AND r.readings IS NOT DISTINCT FROM l.readings
  AND r.cost IS NOT DISTINCT FROM l.cost AND r.note IS NOT DISTINCT FROM l.note
  AND r.done_by IS NOT DISTINCT FROM l.done_by AND r.serial IS NOT DISTINCT FROM l.serial;
