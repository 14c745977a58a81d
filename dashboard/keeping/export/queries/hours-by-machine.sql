-- Sessions, starts and enabled hours by machine and station, over everything that was exported. Run in the folder of the export.
SELECT machine, station, count(*) AS sessions, sum(starts) AS starts, sum(hours) AS enabled_hours
FROM read_parquet('year=*/sessions.parquet')
GROUP BY machine, station
ORDER BY machine, station;
