-- Adds what a member said of a machine.
-- $id bigint · $machine varchar · $at timestamptz · $text, $by varchar · $now timestamptz.
INSERT INTO machine_note VALUES ($id, $machine, $at::timestamptz, $text, $by, NULL, NULL, $now::timestamptz)
