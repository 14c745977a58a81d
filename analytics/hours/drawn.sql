-- Whether any stretch of hours_stretch has an unseen end, and whether the roll-ups have any.
-- Gives: in_stretch, in_rollups boolean.
SELECT EXISTS (FROM hours_stretch WHERE draws IS NOT NULL) AS in_stretch, EXISTS (FROM rollup_draw) AS in_rollups;
