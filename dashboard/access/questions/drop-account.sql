-- Takes one account away.
-- $name varchar.
DELETE FROM account WHERE name = $name;
