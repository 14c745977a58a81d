-- Makes the temporary table service_motor: motor stretches that can reach beyond a moment.
-- $from timestamptz.
CREATE OR REPLACE TEMP TABLE service_motor AS
SELECT * FROM motor WHERE stop_high > $from::timestamptz;
