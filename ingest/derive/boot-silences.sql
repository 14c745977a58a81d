-- Boot silences for the causes. Reads boot_silence, heard_elsewhere. Gives: station varchar; low, high double (ms since
-- 1970: last sign of life, boot); rhythmSeconds double; endedSession, othersHeard boolean.
SELECT station, epoch_us(low_at) / 1e3 AS low, epoch_us(boot_at) / 1e3 AS high, rhythm_seconds AS "rhythmSeconds",
  ended_session AS "endedSession", heard.heard IS NOT NULL AS "othersHeard"
FROM boot_silence
LEFT JOIN (SELECT *, true AS heard FROM heard_elsewhere) AS heard USING (station, boot_at)
ORDER BY boot_at, station
