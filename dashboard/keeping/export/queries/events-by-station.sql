-- Events by station, kind and year. Run in the folder of the export.
SELECT station, event, year, count(*) AS events
FROM read_parquet('year=*/events.parquet', hive_partitioning = true)
GROUP BY station, event, year
ORDER BY station, event, year;
