-- Removes the stretches of life behind the cuts.
DELETE FROM alive_stretch
USING log_alive_cut
WHERE alive_stretch.station = log_alive_cut.station AND alive_stretch.first_at >= log_alive_cut.cut_at;
