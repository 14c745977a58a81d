-- Adds the days of occupancy_peak to the roll-ups.
INSERT INTO rollup_peak SELECT label, scope, id, what, peak, peak_at FROM occupancy_peak ORDER BY label;
