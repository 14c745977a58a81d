-- Motor-on stretches that began in one local year.
-- $zone IANA name · $year integer.
SELECT machine, station, started_at AS start, stopped_at AS stop, stop_low, stop_best, stop_high
FROM motor
WHERE year(timezone($zone, started_at)) = $year
ORDER BY started_at, station
