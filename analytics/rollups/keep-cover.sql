-- Keeps hours_cover.
INSERT INTO rollup_cover SELECT machine, from_at, until_at FROM hours_cover;
