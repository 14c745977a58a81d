-- Adds hours_reading to the roll-ups.
INSERT INTO rollup_reading SELECT machine, from_at, until_at, enabled_hours FROM hours_reading;
