-- Reads a log of events into log_stage, one row for each row of the file in its order (rowid = row number from 0), typed as far as
-- the line itself allows; what became of it is in state: null where it is good.
-- $path · $compression none or gzip · $longest longest line in bytes · $spooled whether the file is our own spool · $delimiter ·
-- $comment, null = none · $width columns of the header, 0 = unknown · $time, $station, $event, $badge, $sequence, $detail numbers
-- of the cells, 0 = none · $nulls JSON list of words for nothing · $bare
-- whether no cell has white space around it, nor are there words for nothing · $words JSON list of the log's words, $kinds what each means, 'ignored' where it is
-- left aside · $style iso, format, count · $format of strptime · $microseconds of one count · $origin timestamp, UTC · $decimal
-- mark · $absolute whether stamps are in UTC whatever they say (null = as each says) · $add_years · $earliest year · $zone IANA.
-- Makes log_stage as the schema has it: what had to be thought about keeps its stamp and text.
CREATE OR REPLACE TABLE log_stage AS
WITH physical AS (
  SELECT line AS written
  FROM read_csv($path, columns = {'line': 'VARCHAR'}, header = false, auto_detect = false, delim = e'\x01', quote = '', escape = '',
    max_line_size = $longest, compression = $compression)
), parted AS (
  SELECT written, CASE WHEN $spooled THEN string_split(written, chr(30)) END AS part FROM physical
), split AS (
  SELECT
    CASE WHEN $spooled THEN try_cast(part[1] AS BIGINT) END AS line,
    CASE WHEN $spooled THEN nullif(part[2], '')
         WHEN written IS NULL OR (NOT contains(written, $delimiter) AND trim(written, e' \t\f\v') = '')
           OR ($delimiter = chr(9) AND trim(written, e' \t\f\v') = '') THEN 'blank'
         WHEN $comment IS NOT NULL AND starts_with(written, $comment) THEN 'comment' END AS fault,
    CASE WHEN $spooled THEN part[4] ELSE written END AS text,
    CASE WHEN $spooled THEN string_split(part[3], chr(31)) ELSE string_split(written, $delimiter) END AS cell
  FROM parted
), placed AS (
  SELECT line, text,
    CASE WHEN fault IS NOT NULL THEN fault
         WHEN NOT $spooled AND (len(cell) < greatest($time, $station, $event, $badge, $sequence, $detail)
           OR ($width > 0 AND len(cell) > $width AND trim(array_to_string(cell[$width + 1:], '')) <> '')) THEN 'width' END AS fault,
    len(cell) AS cells,
    CASE WHEN $bare THEN nullif(cell[$time], '') ELSE log_cell(cell[$time], ($nulls::JSON)::VARCHAR[]) END AS time_text,
    CASE WHEN $spooled THEN log_written(log_cell(cell[$station], ($nulls::JSON)::VARCHAR[]))
         WHEN $bare THEN nullif(cell[$station], '') ELSE log_cell(cell[$station], ($nulls::JSON)::VARCHAR[]) END AS station,
    CASE WHEN $event = 0 THEN 'enable' WHEN $bare THEN nullif(cell[$event], '') ELSE log_cell(cell[$event], ($nulls::JSON)::VARCHAR[]) END AS word,
    CASE WHEN $badge = 0 THEN NULL WHEN $spooled THEN log_written(log_cell(cell[$badge], ($nulls::JSON)::VARCHAR[]))
         WHEN $bare THEN nullif(cell[$badge], '') ELSE log_cell(cell[$badge], ($nulls::JSON)::VARCHAR[]) END AS badge,
    CASE WHEN $sequence = 0 THEN NULL WHEN $bare THEN nullif(cell[$sequence], '') ELSE log_cell(cell[$sequence], ($nulls::JSON)::VARCHAR[]) END AS sequence_text,
    CASE WHEN $detail = 0 THEN NULL WHEN $spooled THEN log_written(log_cell(cell[$detail], ($nulls::JSON)::VARCHAR[]))
         WHEN $bare THEN nullif(cell[$detail], '') ELSE log_cell(cell[$detail], ($nulls::JSON)::VARCHAR[]) END AS detail
  FROM split
), typed AS (
  SELECT *,
    (($kinds::JSON)::VARCHAR[])[list_position(($words::JSON)::VARCHAR[], word)] AS kind,
    log_stamp(time_text, $style, $format, $microseconds, $origin::TIMESTAMP, $decimal) AS bare_stamp,
    coalesce($absolute, log_has_offset(time_text)) AS absolute,
    CASE WHEN sequence_text IS NULL THEN NULL ELSE try_cast(sequence_text AS BIGINT) END AS sequence
  FROM placed
), stamped AS (
  SELECT *, CASE WHEN $add_years = 0 THEN bare_stamp ELSE bare_stamp + to_years($add_years::INTEGER) END AS stamp FROM typed
), judged AS (
  SELECT *,
    CASE WHEN fault IS NOT NULL THEN fault
         WHEN kind = 'ignored' THEN 'ignored'
         WHEN time_text IS NULL THEN 'time-missing'
         WHEN stamp IS NULL OR stamp >= TIMESTAMP '2199-12-31' THEN 'time'
         WHEN station IS NULL THEN 'station-missing'
         WHEN word IS NULL THEN 'event-missing'
         WHEN kind IS NULL THEN 'event'
         WHEN sequence_text IS NOT NULL AND (sequence IS NULL OR contains(sequence_text, '.') OR contains(lower(sequence_text), 'e')
           OR sequence < 0) THEN 'sequence'
         WHEN stamp < make_date($earliest::INTEGER, 1, 1) THEN 'unset' END AS state
  FROM stamped
)
SELECT line, state,
  CASE state WHEN 'width' THEN cells::VARCHAR WHEN 'time' THEN time_text WHEN 'event' THEN word WHEN 'sequence' THEN sequence_text
       ELSE NULL END AS wrong,
  CASE WHEN state IS NULL AND $add_years = 0 THEN NULL WHEN $spooled THEN log_written(text) ELSE text END AS text,
  CASE WHEN absolute AND state IS NULL THEN NULL ELSE stamp END AS stamp, absolute,
  CASE WHEN state = 'unset' OR absolute THEN make_timestamptz(epoch_us(stamp)) WHEN state IS NULL THEN timezone($zone, stamp) END AS occurred_at,
  NULL::TIMESTAMPTZ AS early_at, NULL::TIMESTAMPTZ AS late_at,
  station, kind, badge, sequence, detail,
  CASE WHEN $add_years <> 0 THEN 'years added: ' || $add_years END AS repair,
  NULL::VARCHAR AS anchor
FROM judged;
