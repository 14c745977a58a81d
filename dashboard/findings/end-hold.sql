-- Ends a hold that has not been ended yet.
-- $id integer · $at timestamptz · $by varchar.
UPDATE incident_hold SET ended_at = $at::timestamptz, ended_by = $by WHERE hold_id = $id AND ended_at IS NULL;
