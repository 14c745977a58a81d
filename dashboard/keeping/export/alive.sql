-- Signs of life that began in one local year, as stretches in which the usual rhythm held.
-- $zone IANA name · $year integer.
SELECT station, first_at, last_at, signs, longest_gap_seconds
FROM alive_stretch
WHERE year(timezone($zone, first_at)) = $year
ORDER BY first_at, station
