-- When windows were last issued, and whether there is anything to issue.
-- Gives one row: day varchar (date, null = never), lastWindow integer, hasLimits boolean (a task counts something that is used).
SELECT
  (SELECT max(as_of_day)::varchar FROM forecast_width) AS "day",
  (SELECT coalesce(max(window_id), 0)::integer FROM due_window) AS "lastWindow",
  EXISTS (FROM task_limit WHERE basis <> 'days') AS "hasLimits";
