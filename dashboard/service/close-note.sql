-- Notes that somebody has looked.
-- $id bigint · $at timestamptz · $by varchar.
UPDATE machine_note SET closed_at = $at::timestamptz, closed_by = $by WHERE note_id = $id AND closed_at IS NULL
