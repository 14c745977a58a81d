-- What a key stands for.
-- $key varchar.
-- Gives: kind varchar, id integer, or no row.
SELECT kind AS "kind", entry_id::integer AS "id" FROM entry_key WHERE entry_key = $key
