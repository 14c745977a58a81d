-- Adds the days of occupancy_ladder to the roll-ups.
INSERT INTO rollup_ladder SELECT label, scope, id, in_use, open_seconds, full_seconds FROM occupancy_ladder ORDER BY label;
