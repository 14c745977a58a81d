-- Silences without boot for the causes. Reads silence. Gives: station varchar; low, high double (ms since 1970: last sign of
-- life, next sign); rhythmSeconds double.
SELECT station, epoch_us(low_at) / 1e3 AS low, epoch_us(high_at) / 1e3 AS high, rhythm_seconds AS "rhythmSeconds"
FROM silence
ORDER BY low_at, station
