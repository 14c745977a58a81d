-- Adds a movement of pieces.
-- $id bigint · $machine, $part varchar · $at timestamptz · $kind varchar · $pieces integer · $serial varchar · $cost double ·
-- $note varchar · $record bigint · $by varchar · $now timestamptz.
INSERT INTO stock_move
VALUES ($id, $machine, $part, $at::timestamptz, $kind, $pieces::integer, $serial, $cost, $note, $record, $by, $now::timestamptz)
