-- Reads a log of sessions into log_session_stage, one row for each row of the file in its order, typed and judged line by line.
-- Parameters as in stage-events.sql, with $finish, $duration cells; $finish_… as those of the start; $seconds of one unit of duration,
-- $duration_decimal mark · $preamble rows before the first record, $rows of the file as surveyed. A start or finish that isn't given follows from the other and the duration.
-- Makes log_session_stage as the schema has it.
CREATE OR REPLACE TABLE log_session_stage AS
WITH physical AS (
  SELECT line AS written, row_number() OVER () AS row_number
  FROM read_csv($path, columns = {'line': 'VARCHAR'}, header = false, auto_detect = false, delim = e'\x01', quote = '', escape = '',
    max_line_size = $longest, compression = $compression)
), parted AS (
  SELECT written, row_number, CASE WHEN $spooled THEN string_split(written, chr(30)) END AS part FROM physical
), split AS (
  SELECT
    CASE WHEN $spooled THEN try_cast(part[1] AS BIGINT) ELSE row_number END AS line,
    CASE WHEN $spooled THEN nullif(part[2], '')
         WHEN written IS NULL OR (NOT contains(written, $delimiter) AND trim(written, e' \t\f\v') = '')
           OR ($delimiter = chr(9) AND trim(written, e' \t\f\v') = '') THEN 'blank'
         WHEN $comment IS NOT NULL AND starts_with(written, $comment) THEN 'comment' END AS fault,
    CASE WHEN $spooled THEN part[4] ELSE written END AS text,
    CASE WHEN $spooled THEN string_split(part[3], chr(31)) ELSE string_split(written, $delimiter) END AS cell
  FROM parted
  WHERE row_number > $preamble AND row_number <= $rows
), placed AS (
  SELECT line, text,
    CASE WHEN fault IS NOT NULL THEN fault
         WHEN NOT $spooled AND (len(cell) < greatest($time, $finish, $duration, $station, $badge, $sequence, $detail)
           OR ($width > 0 AND len(cell) > $width AND trim(array_to_string(cell[$width + 1:], '')) <> '')) THEN 'width' END AS fault,
    len(cell) AS cells,
    CASE WHEN $time = 0 THEN NULL ELSE log_cell(cell[$time], ($nulls::JSON)::VARCHAR[]) END AS start_text,
    CASE WHEN $finish = 0 THEN NULL ELSE log_cell(cell[$finish], ($nulls::JSON)::VARCHAR[]) END AS finish_text,
    CASE WHEN $duration = 0 THEN NULL ELSE log_cell(cell[$duration], ($nulls::JSON)::VARCHAR[]) END AS duration_text,
    log_written(log_cell(cell[$station], ($nulls::JSON)::VARCHAR[])) AS station,
    CASE WHEN $badge = 0 THEN NULL ELSE log_written(log_cell(cell[$badge], ($nulls::JSON)::VARCHAR[])) END AS badge,
    CASE WHEN $sequence = 0 THEN NULL ELSE log_cell(cell[$sequence], ($nulls::JSON)::VARCHAR[]) END AS sequence_text,
    CASE WHEN $detail = 0 THEN NULL ELSE log_written(log_cell(cell[$detail], ($nulls::JSON)::VARCHAR[])) END AS detail
  FROM split
), typed AS (
  SELECT *,
    log_stamp(start_text, $style, $format, $microseconds, $origin::TIMESTAMP, $decimal) AS bare_start,
    coalesce($absolute, log_has_offset(start_text)) AS start_absolute,
    log_stamp(finish_text, $finish_style, $finish_format, $finish_microseconds, $finish_origin::TIMESTAMP, $finish_decimal)
      AS bare_finish,
    coalesce($finish_absolute, log_has_offset(finish_text)) AS finish_absolute,
    try_cast(replace(duration_text, $duration_decimal, '.') AS DOUBLE) * $seconds AS duration_seconds,
    try_cast(sequence_text AS BIGINT) AS sequence
  FROM placed
), stamped AS (
  SELECT * EXCLUDE (bare_start, bare_finish),
    CASE WHEN $add_years = 0 THEN bare_start ELSE bare_start + to_years($add_years::INTEGER) END AS start_stamp,
    CASE WHEN $finish_add_years = 0 THEN bare_finish ELSE bare_finish + to_years($finish_add_years::INTEGER) END AS finish_stamp
  FROM typed
), placed_in_zone AS (
  SELECT stamped.*,
    CASE WHEN start_absolute THEN make_timestamptz(epoch_us(start_stamp)) ELSE timezone($zone, start_stamp) END AS first_start_at,
    CASE WHEN finish_absolute THEN make_timestamptz(epoch_us(finish_stamp)) ELSE timezone($zone, finish_stamp) END AS first_finish_at
  FROM stamped
), asked AS (
  SELECT p.* EXCLUDE (first_start_at, first_finish_at),
    start_change.zone IS NOT NULL AND NOT start_absolute AS start_changes,
    finish_change.zone IS NOT NULL AND NOT finish_absolute AS finish_changes,
    CASE WHEN start_absolute OR start_change.zone IS NULL THEN first_start_at END AS start_at,
    CASE WHEN finish_absolute OR finish_change.zone IS NULL THEN first_finish_at END AS finish_at
  FROM placed_in_zone AS p
  LEFT JOIN zone_change AS start_change ON start_change.zone = $zone
    AND p.first_start_at >= start_change.from_at AND p.first_start_at < start_change.until_at
  LEFT JOIN zone_change AS finish_change ON finish_change.zone = $zone
    AND p.first_finish_at >= finish_change.from_at AND p.first_finish_at < finish_change.until_at
), starts_changed AS (
  SELECT start_stamp AS stamp, list(make_timestamptz(epoch_us(start_stamp) - offset_seconds::BIGINT * 1000000) ORDER BY offset_seconds DESC) AS instants
  FROM (SELECT DISTINCT start_stamp FROM asked WHERE start_changes)
  JOIN zone_offset ON zone = $zone AND start_stamp >= from_utc + to_seconds(offset_seconds) AND start_stamp < until_utc + to_seconds(offset_seconds)
  GROUP BY start_stamp
), finishes_changed AS (
  SELECT finish_stamp AS stamp, list(make_timestamptz(epoch_us(finish_stamp) - offset_seconds::BIGINT * 1000000) ORDER BY offset_seconds DESC) AS instants
  FROM (SELECT DISTINCT finish_stamp FROM asked WHERE finish_changes)
  JOIN zone_offset ON zone = $zone AND finish_stamp >= from_utc + to_seconds(offset_seconds) AND finish_stamp < until_utc + to_seconds(offset_seconds)
  GROUP BY finish_stamp
), resolved AS (
  SELECT p.* EXCLUDE (start_at, finish_at),
    coalesce(start_at, CASE WHEN len(s.instants) = 1 THEN s.instants[1]
      -- Of two possible starts the duration decides, where it is told and agrees with one.
      WHEN len(s.instants) = 2 AND coalesce(finish_at, CASE WHEN len(f.instants) = 1 THEN f.instants[1] END) IS NOT NULL AND duration_seconds IS NOT NULL
        THEN list_filter(s.instants, lambda i: abs(epoch(coalesce(finish_at, f.instants[1])) - epoch(i) - duration_seconds) < 60)[1] END) AS start_at,
    coalesce(finish_at, CASE WHEN len(f.instants) = 1 THEN f.instants[1]
      WHEN len(f.instants) = 2 AND coalesce(start_at, CASE WHEN len(s.instants) = 1 THEN s.instants[1] END) IS NOT NULL AND duration_seconds IS NOT NULL
        THEN list_filter(f.instants, lambda i: abs(epoch(i) - epoch(coalesce(start_at, s.instants[1])) - duration_seconds) < 60)[1] END) AS finish_at,
    len(s.instants) = 2 OR len(f.instants) = 2 AS is_twice,
    start_changes AND s.instants IS NULL AS start_in_gap,
    finish_changes AND f.instants IS NULL AS finish_in_gap
  FROM asked AS p
  LEFT JOIN starts_changed AS s ON p.start_changes AND s.stamp = p.start_stamp
  LEFT JOIN finishes_changed AS f ON p.finish_changes AND f.stamp = p.finish_stamp
), bounded AS (
  SELECT *,
    CASE WHEN $time <> 0 THEN start_at ELSE finish_at - to_microseconds(round(duration_seconds * 1000000)::BIGINT) END AS started_at,
    CASE WHEN $finish <> 0 AND finish_text IS NOT NULL THEN finish_at
         WHEN isfinite(duration_seconds) AND abs(duration_seconds) < 1e10 THEN start_at + to_microseconds(round(duration_seconds * 1000000)::BIGINT)
         END AS finished_at
  FROM resolved
), judged AS (
  SELECT *,
    CASE WHEN fault IS NOT NULL THEN fault
         WHEN $time <> 0 AND start_text IS NULL THEN 'start-missing'
         WHEN $time <> 0 AND (start_stamp IS NULL OR start_stamp >= TIMESTAMP '2199-12-31') THEN 'start'
         WHEN finish_text IS NOT NULL AND (finish_stamp IS NULL OR finish_stamp >= TIMESTAMP '2199-12-31') THEN 'finish'
         WHEN duration_text IS NOT NULL AND (duration_seconds IS NULL OR NOT isfinite(duration_seconds) OR abs(duration_seconds) >= 1e10)
           THEN 'duration'
         WHEN station IS NULL THEN 'station-missing'
         WHEN $time = 0 AND (finish_text IS NULL OR duration_text IS NULL) THEN 'start-missing'
         WHEN sequence_text IS NOT NULL AND (sequence IS NULL OR contains(sequence_text, '.') OR contains(lower(sequence_text), 'e')
           OR sequence < 0) THEN 'sequence'
         WHEN start_stamp < make_date($earliest::INTEGER, 1, 1) THEN 'start-early'
         WHEN finish_stamp < make_date($earliest::INTEGER, 1, 1) THEN 'finish-early'
         WHEN start_in_gap THEN 'start-gap'
         WHEN finish_in_gap THEN 'finish-gap'
         WHEN started_at IS NULL THEN 'start-twice'
         WHEN finish_text IS NOT NULL AND finished_at IS NULL THEN 'finish-twice'
         WHEN finished_at < started_at THEN 'backwards' END AS state
  FROM bounded
)
SELECT line, state,
  CASE WHEN state = 'width' THEN cells::VARCHAR
       WHEN starts_with(state, 'start') THEN start_text WHEN starts_with(state, 'finish') THEN finish_text
       WHEN state = 'backwards' THEN coalesce(finish_text, duration_text)
       WHEN state = 'duration' THEN duration_text WHEN state = 'sequence' THEN sequence_text END AS wrong,
  CASE WHEN state IS NULL AND $add_years = 0 AND $finish_add_years = 0 AND NOT coalesce(is_twice, false) THEN NULL
       WHEN $spooled THEN log_written(text) ELSE text END AS text,
  started_at, finished_at, station, badge, sequence, detail,
  nullif(concat_ws('; ',
    CASE WHEN $add_years <> 0 OR $finish_add_years <> 0 THEN 'years added: ' || greatest($add_years, $finish_add_years) END,
    CASE WHEN is_twice THEN 'the hour that autumn repeats: told by the duration' END), '') AS repair
FROM judged;
