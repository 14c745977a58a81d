-- Marks a service record as undone.
-- $id bigint · $at timestamptz · $by varchar.
INSERT INTO service_undo VALUES ($id, $at::timestamptz, $by)
