-- Stamps in the hour that autumn repeats: first time or second by where the clock steps back, once, in the order of the station's
-- own sequence numbers, else of the file's lines, else of the station's lines. Without exactly one step back nobody can tell.
-- $in_order whether the file as a whole is in the order of time.
UPDATE log_stage
SET occurred_at = CASE WHEN told.is_second THEN make_timestamptz(epoch_us(log_stage.stamp) - told.after_seconds::BIGINT * 1000000)
                       WHEN NOT told.is_second THEN make_timestamptz(epoch_us(log_stage.stamp) - told.before_seconds::BIGINT * 1000000) END,
  state = CASE WHEN told.is_second IS NULL THEN 'twice' END,
  wrong = CASE WHEN told.is_second IS NULL THEN strftime(log_stage.stamp, '%Y-%m-%d %H:%M:%S') END,
  repair = CASE WHEN told.is_second IS NULL THEN repair
                ELSE concat_ws('; ', repair, 'the hour that autumn repeats: the ' || CASE WHEN told.is_second THEN 'second' ELSE 'first' END
                  || ' time, by the order of ' || told.by_what) END
FROM (
  WITH repeated AS (
    SELECT *, count(sequence) OVER station_s = count(*) OVER station_s AS has_sequence
    FROM log_changing WHERE after_seconds < before_seconds
    WINDOW station_s AS (PARTITION BY change_at, station)
  ), stepped AS (
    SELECT *,
      coalesce(lag(stamp) OVER (PARTITION BY change_at ORDER BY row_number) - stamp > INTERVAL 1 MINUTE, false) AS back_in_file,
      coalesce(lag(stamp) OVER (PARTITION BY change_at, station ORDER BY row_number) - stamp > INTERVAL 1 MINUTE, false) AS back_in_station,
      has_sequence AND coalesce(lag(stamp) OVER (PARTITION BY change_at, station ORDER BY sequence, row_number) - stamp > INTERVAL 1 MINUTE, false)
        AS back_in_sequence
    FROM repeated
  ), counted AS (
    SELECT *,
      count(*) FILTER (back_in_file) OVER (PARTITION BY change_at) AS steps_in_file,
      count(*) FILTER (back_in_station) OVER (PARTITION BY change_at, station) AS steps_in_station,
      count(*) FILTER (back_in_sequence) OVER (PARTITION BY change_at, station) AS steps_in_sequence,
      count(*) FILTER (back_in_file) OVER (PARTITION BY change_at ORDER BY row_number) > 0 AS second_in_file,
      count(*) FILTER (back_in_station) OVER (PARTITION BY change_at, station ORDER BY row_number) > 0 AS second_in_station,
      count(*) FILTER (back_in_sequence) OVER (PARTITION BY change_at, station ORDER BY sequence, row_number) > 0 AS second_in_sequence
    FROM stepped
  )
  SELECT row_number, before_seconds, after_seconds,
    CASE WHEN steps_in_sequence = 1 THEN second_in_sequence
         WHEN steps_in_file = 1 AND $in_order THEN second_in_file
         WHEN steps_in_station = 1 THEN second_in_station END AS is_second,
    CASE WHEN steps_in_sequence = 1 THEN 'sequence numbers' ELSE 'lines' END AS by_what
  FROM counted
) AS told
WHERE told.row_number = log_stage.rowid;
