-- Moves stored events of an unset clock to where better bounds put them.
UPDATE event SET occurred_at = m.occurred_at, early_at = m.early_at, late_at = m.late_at, repair = m.repair
FROM log_moved AS m
WHERE m.event_row = event.rowid AND m.is_better;
