-- Gives an entry of the trail another seal.
-- $entry integer · $seal varchar.
UPDATE trail SET seal = $seal WHERE entry = $entry;
