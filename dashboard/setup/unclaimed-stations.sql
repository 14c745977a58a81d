-- Stations of the log that no machine of the workshop file claims, the most used first.
-- $zone IANA name.
-- Gives: station varchar, sessions, hours double (best, as far as ends are told), firstDay, lastDay varchar YYYY-MM-DD by the workshop's clock.
SELECT
  station AS "station",
  count(*)::double AS "sessions",
  sum(epoch_us(end_best) - epoch_us(started_at)) / 3.6e9 AS "hours",
  strftime(timezone($zone, min(started_at)), '%Y-%m-%d') AS "firstDay",
  strftime(timezone($zone, max(started_at)), '%Y-%m-%d') AS "lastDay"
FROM session
WHERE machine = 'station:' || station
GROUP BY station
ORDER BY count(*) DESC, station;
