-- Which stations were giving signs of life at each of some instants: within one and a half of their rhythm.
-- $instants varchar: JSON list of ms since 1970. Reads alive_stretch. Gives: at_ms double, stations varchar[].
SELECT at_ms::double AS at_ms, list(DISTINCT station ORDER BY station) AS stations
FROM (SELECT unnest($instants::json[])::double AS at_ms)
JOIN alive_stretch ON epoch_us(first_at) / 1e3 <= at_ms AND epoch_us(last_at) / 1e3 + longest_gap_seconds * 1500 >= at_ms
GROUP BY at_ms
