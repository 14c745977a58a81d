-- Stations whose walk needs care. Reads walked. Makes careful_station: station, tied.
CREATE OR REPLACE TEMP TABLE careful_station AS
SELECT station, bool_or(tied) AS tied FROM walked WHERE tied OR stray GROUP BY station
