-- Notes what a key stands for.
-- $key, $kind varchar · $id bigint · $at timestamptz.
INSERT INTO entry_key VALUES ($key, $kind, $id, $at::timestamptz)
