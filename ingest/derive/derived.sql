-- What the derived tables were last derived with. Reads meta. Gives: value varchar, JSON; no row before the first time.
SELECT value FROM meta WHERE key = 'derived'
