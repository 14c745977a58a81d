-- Sessions and enabled hours by machine and local month of their start. Run in the folder of the export.
SELECT machine, strftime(local_start, '%Y-%m') AS month, count(*) AS sessions, sum(hours) AS enabled_hours
FROM read_parquet('year=*/sessions.parquet')
GROUP BY machine, month
ORDER BY machine, month;
