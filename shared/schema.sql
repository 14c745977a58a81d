-- The store: the tables at which ingest and analytics meet. Append a migration, never change one that has landed.
-- Every migration starts with a line `-- migration N: what and why`; the store notes the last one it has.
-- Times are instants (TIMESTAMPTZ, shown in UTC). Durations carry their unit in the name. `…_draws` hold one figure for each
-- of the DRAWS joint worlds of shared/draws.ts: draw k of every session belongs to the same world.

-- migration 1: the log as it was read, what became of every line, and the sessions that follow from it

CREATE TABLE meta (
  key   VARCHAR PRIMARY KEY,
  value VARCHAR NOT NULL
);

-- One row for each reading of a file or of a live batch; the five counts add up to lines.
CREATE TABLE reading (
  reading_id INTEGER PRIMARY KEY,
  file       VARCHAR NOT NULL,       -- as the caller named it
  profile    VARCHAR NOT NULL,       -- the profile it was read by, as JSON
  read_at    TIMESTAMPTZ NOT NULL,
  lines      BIGINT NOT NULL,
  stored     BIGINT NOT NULL,
  duplicates BIGINT NOT NULL,
  ignored    BIGINT NOT NULL,
  blank      BIGINT NOT NULL,
  rejected   BIGINT NOT NULL,
  repaired   BIGINT NOT NULL,        -- part of stored
  CHECK (lines = stored + duplicates + ignored + blank + rejected)
);

-- Every line that was not understood, once for each place.
CREATE TABLE reject (
  reading_id INTEGER NOT NULL,
  file       VARCHAR NOT NULL,
  line       BIGINT NOT NULL,
  text       VARCHAR NOT NULL,       -- as in the file without its line ending
  reason     VARCHAR NOT NULL,
  field      VARCHAR,                -- our name of the field at fault, where it is one field
  PRIMARY KEY (file, line)
);

-- Every event but signs of life. In a log of sessions each row with a start is an enable and its finish, if any, a stretch.
CREATE TABLE event (
  reading_id  INTEGER NOT NULL,
  line        BIGINT NOT NULL,
  occurred_at TIMESTAMPTZ NOT NULL,  -- corrected: the best position
  early_at    TIMESTAMPTZ,           -- bounds of the position, null where the stamp is believed
  late_at     TIMESTAMPTZ,
  station     VARCHAR NOT NULL,
  kind        VARCHAR NOT NULL,      -- enable, release, refuse, boot, motor-on, motor-off, change
  badge       VARCHAR,               -- as written, or its keyed hash
  sequence    BIGINT,
  detail      VARCHAR,
  repair      VARCHAR,               -- what was done to it, in words; null where nothing
  original    VARCHAR                -- the line as written, only where it was repaired
);

-- Rows of a log of sessions: one stretch a row, believed as written.
CREATE TABLE stretch (
  reading_id  INTEGER NOT NULL,
  line        BIGINT NOT NULL,
  station     VARCHAR NOT NULL,
  badge       VARCHAR,
  started_at  TIMESTAMPTZ NOT NULL,
  finished_at TIMESTAMPTZ,           -- null where the row has none
  detail      VARCHAR,
  repair      VARCHAR,
  original    VARCHAR
);

-- Signs of life, kept as stretches in which the usual rhythm held.
CREATE TABLE alive_stretch (
  station             VARCHAR NOT NULL,
  first_at            TIMESTAMPTZ NOT NULL,
  last_at             TIMESTAMPTZ NOT NULL,
  signs               BIGINT NOT NULL,
  longest_gap_seconds DOUBLE NOT NULL
);

-- One cause that ended or silenced many stations at once (or one, in doubt), inferred once.
CREATE TABLE cause (
  cause_id INTEGER PRIMARY KEY,
  kind     VARCHAR NOT NULL,         -- power-cut, network-loss, server-down, contact
  from_low TIMESTAMPTZ NOT NULL,     -- it began between from_low and from_high
  from_best TIMESTAMPTZ NOT NULL,
  from_high TIMESTAMPTZ NOT NULL,
  until_at TIMESTAMPTZ,              -- first sign that it was over
  stations VARCHAR NOT NULL,         -- JSON list
  text     VARCHAR NOT NULL          -- in words, for the Log page
);

-- Derived from event, stretch and alive_stretch by the rules of the domain; may be derived anew at any time.
CREATE TABLE session (
  session_id    BIGINT PRIMARY KEY,
  machine       VARCHAR NOT NULL,    -- station:<id> where no machine claims the station at that time
  station       VARCHAR NOT NULL,
  badge         VARCHAR,
  started_at    TIMESTAMPTZ NOT NULL,
  ended_at      TIMESTAMPTZ,         -- the seen end, else null
  ended         VARCHAR NOT NULL,    -- released, superseded, restarted, lost, open
  end_low       TIMESTAMPTZ NOT NULL,-- hard bounds and conditional median of the end; all the seen end where it was seen
  end_best      TIMESTAMPTZ NOT NULL,
  end_high      TIMESTAMPTZ NOT NULL,
  starts        INTEGER NOT NULL,    -- closings of the circuit in it (chatter merged for the session counts here)
  cause_id      INTEGER,
  end_draws     DOUBLE[],            -- seconds after started_at, one for each joint world; null where the end was seen
  rules_version INTEGER NOT NULL
);

-- Motor-on stretches of machines with a current sensor.
CREATE TABLE motor (
  machine    VARCHAR NOT NULL,
  station    VARCHAR NOT NULL,
  started_at TIMESTAMPTZ NOT NULL,
  stopped_at TIMESTAMPTZ,            -- seen stop, else null
  stop_low   TIMESTAMPTZ NOT NULL,
  stop_best  TIMESTAMPTZ NOT NULL,
  stop_high  TIMESTAMPTZ NOT NULL
);

-- The workshop file as tables, rewritten whenever the file changes (meta 'workshop' holds its fingerprint).
CREATE TABLE machine (
  machine            VARCHAR PRIMARY KEY,
  ordinal            INTEGER NOT NULL,      -- order in the file
  name               VARCHAR NOT NULL,
  group_id           VARCHAR NOT NULL,      -- its own id where none is given
  room               VARCHAR,
  hazard             VARCHAR NOT NULL,      -- high, medium, low
  alone              VARCHAR,               -- never, ask, fine
  kind               VARCHAR NOT NULL,      -- stations, driven, always-on, meter
  from_at            TIMESTAMPTZ,
  until_at           TIMESTAMPTZ,           -- excluded
  run_on_seconds     DOUBLE NOT NULL,
  run_factor_low     DOUBLE,
  run_factor_best    DOUBLE,
  run_factor_high    DOUBLE,
  run_factor_fixed   BOOLEAN NOT NULL
);
CREATE TABLE machine_station (
  machine  VARCHAR NOT NULL,
  station  VARCHAR NOT NULL,
  from_at  TIMESTAMPTZ NOT NULL,            -- '-infinity' and 'infinity' where not given
  until_at TIMESTAMPTZ NOT NULL             -- excluded
);
CREATE TABLE machine_driver (
  machine VARCHAR NOT NULL,
  driver  VARCHAR NOT NULL,
  load    DOUBLE NOT NULL
);
CREATE TABLE machine_meter (
  machine VARCHAR NOT NULL,
  read_at TIMESTAMPTZ NOT NULL,
  hours   DOUBLE NOT NULL
);
CREATE TABLE machine_outage (
  machine  VARCHAR NOT NULL,
  from_at  TIMESTAMPTZ NOT NULL,
  until_at TIMESTAMPTZ NOT NULL,            -- excluded; 'infinity' while it lasts
  reason   VARCHAR
);
-- Opening hours by local day of the span that the log and its forecasts need; what is in no row is closed.
CREATE TABLE opening (
  from_at  TIMESTAMPTZ NOT NULL,
  until_at TIMESTAMPTZ NOT NULL,
  state    VARCHAR NOT NULL,                -- staffed, member
  day      DATE NOT NULL                    -- the local day it belongs to
);
CREATE TABLE roster (
  badge       VARCHAR NOT NULL,             -- as stored in event.badge
  person      VARCHAR NOT NULL,
  name        VARCHAR,
  role        VARCHAR NOT NULL,
  valid_from  DATE,
  valid_until DATE,
  machines    VARCHAR NOT NULL              -- JSON list of ids or groups; empty = all
);

-- migration 2: sessions without an index (it costs more than deriving them), lengths to judge unseen ends by, gaps in counters

CREATE TABLE session_without_index (
  session_id    BIGINT NOT NULL,     -- from station, start and badge alone, so that it stays when others come and go; unique
  machine       VARCHAR NOT NULL,    -- station:<id> where no machine claims the station at that time
  station       VARCHAR NOT NULL,
  badge         VARCHAR,
  started_at    TIMESTAMPTZ NOT NULL,
  ended_at      TIMESTAMPTZ,         -- the seen end, else null
  ended         VARCHAR NOT NULL,    -- released, superseded, restarted, lost, open
  end_low       TIMESTAMPTZ NOT NULL,-- hard bounds and conditional median of the end; all the seen end where it was seen
  end_best      TIMESTAMPTZ NOT NULL,-- (a clock corrected in between: bounds around it). Of an open session: of its part up
  end_high      TIMESTAMPTZ NOT NULL,-- to the as-of time
  starts        INTEGER NOT NULL,    -- closings of the circuit in it (chatter merged for the session counts here)
  cause_id      INTEGER,
  end_draws     DOUBLE[],            -- seconds after started_at, one for each joint world; null where the end was seen
  rules_version INTEGER NOT NULL
);
INSERT INTO session_without_index SELECT * FROM session;
DROP TABLE session;
ALTER TABLE session_without_index RENAME TO session;

-- What a machine's seen sessions say about unseen ends; kept beside session so that new lines need not read it all.
CREATE TABLE machine_length (
  machine         VARCHAR PRIMARY KEY,
  sessions        BIGINT NOT NULL,   -- seen ends of trusted length
  longest_seconds DOUBLE NOT NULL,
  sample          STRUCT(session_id BIGINT, seconds DOUBLE)[] NOT NULL -- a fixed random sample: those of the lowest ids
);

-- Numbers missing from a station's own counter.
CREATE TABLE sequence_gap (
  station  VARCHAR NOT NULL,
  from_at  TIMESTAMPTZ NOT NULL,     -- the last line before the gap and the first behind it
  until_at TIMESTAMPTZ NOT NULL,
  missing  BIGINT NOT NULL
);

-- migration 3: roll-ups of hours and occupancy, kept by analytics after every change of session, motor or the workshop file

-- What the roll-ups were made from; anything else than the present state and they are not used.
CREATE TABLE rollup_state (
  zone        VARCHAR NOT NULL,
  fingerprint VARCHAR NOT NULL,      -- of the workshop tables and the rules
  sessions    BIGINT NOT NULL,
  motors      BIGINT NOT NULL,
  first_month DATE NOT NULL,         -- the local months that are rolled up, the last excluded
  until_month DATE NOT NULL,
  open_from   TIMESTAMPTZ NOT NULL   -- no session that is still open ends before this
);
-- What stood in each stretch of thirty days (counted from 1970 in UTC) when it was rolled up.
CREATE TABLE rollup_bin (
  bin      BIGINT NOT NULL,
  checksum UBIGINT NOT NULL,
  reach    TIMESTAMPTZ NOT NULL      -- the latest possible end of what began in it
);
-- A fingerprint of all that the roll-ups take from the workshop file; of opening hours up to the last day rolled up.
CREATE MACRO workshop_fingerprint(until_day) AS TABLE
SELECT md5(string_agg(part, '|' ORDER BY part)) AS fingerprint
FROM (
  SELECT 'rollup 1' AS part
  UNION ALL
  SELECT concat_ws(',', 'machine', machine, group_id, room, kind, from_at, until_at, run_on_seconds) FROM machine
  UNION ALL
  SELECT concat_ws(',', 'driver', machine, driver, load) FROM machine_driver
  UNION ALL
  SELECT concat_ws(',', 'outage', machine, from_at, until_at) FROM machine_outage
  UNION ALL
  SELECT 'roster' || coalesce(sum(hash(badge, person, valid_from, valid_until))::varchar, '') FROM roster
  UNION ALL
  SELECT 'opening' || coalesce(sum(hash(from_at, until_at))::varchar, '') FROM opening WHERE day < until_day
);
-- Sums per machine and local day, week, month, or month and hour of the week. Unseen ends are not in the seconds.
CREATE TABLE rollup (
  tier             VARCHAR NOT NULL, -- day, week, month, hour-of-week
  machine          VARCHAR NOT NULL,
  label            TIMESTAMP NOT NULL, -- its first local midnight
  hour_of_week     INTEGER,
  sessions         INTEGER NOT NULL,
  starts           INTEGER NOT NULL,
  enabled_seconds  DOUBLE NOT NULL,
  motor_seconds    DOUBLE NOT NULL,  -- measured by motor events
  factored_seconds DOUBLE NOT NULL,  -- enabled where no motor events tell
  load_seconds     DOUBLE NOT NULL
);
-- One row whose column wNNN holds NNN: the joint worlds as columns, since sums over columns are eight times as fast as over rows.
CREATE TABLE world AS
PIVOT (SELECT 'w' || lpad(k::varchar, 3, '0') AS name, k::integer AS k FROM range(1, 101) AS worlds(k)) ON name USING first(k);
-- What unseen ends add to the seconds above, in each joint world.
CREATE TABLE rollup_draw AS
SELECT
  ''::varchar AS tier,
  ''::varchar AS machine,
  NULL::timestamp AS label,
  NULL::integer AS hour_of_week,
  ''::varchar AS measure,            -- enabled, motor, factored, load
  COLUMNS('^w[0-9]+$')::double
FROM world
LIMIT 0;
-- Who began a session: persons as bits, 512 of them a row.
CREATE TABLE rollup_person (
  person VARCHAR NOT NULL,
  number INTEGER NOT NULL
);
CREATE TABLE rollup_member (
  tier         VARCHAR NOT NULL,
  machine      VARCHAR NOT NULL,
  label        TIMESTAMP NOT NULL,
  hour_of_week INTEGER,
  chunk        INTEGER NOT NULL,
  persons      BIT NOT NULL
);
-- Enabled hours between two readings of a machine's hour meter.
CREATE TABLE rollup_reading (
  machine       VARCHAR NOT NULL,
  from_at       TIMESTAMPTZ NOT NULL,
  until_at      TIMESTAMPTZ NOT NULL,
  enabled_hours DOUBLE NOT NULL
);
-- Where a machine's current sensor is believed to have been at work.
CREATE TABLE rollup_cover (
  machine  VARCHAR NOT NULL,
  from_at  TIMESTAMPTZ NOT NULL,
  until_at TIMESTAMPTZ NOT NULL
);
-- Open hours of each local day by how many units were in use (from 1 up), and how many of them with every unit in order taken.
CREATE TABLE rollup_ladder (
  label        TIMESTAMP NOT NULL,
  scope        VARCHAR NOT NULL,     -- group, room, shop
  id           VARCHAR NOT NULL,
  in_use       INTEGER NOT NULL,
  open_seconds DOUBLE NOT NULL,
  full_seconds DOUBLE NOT NULL
);
-- The day's peaks: of units (what = units) and of persons (what = people).
CREATE TABLE rollup_peak (
  label   TIMESTAMP NOT NULL,
  scope   VARCHAR NOT NULL,
  id      VARCHAR NOT NULL,
  what    VARCHAR NOT NULL,
  peak    INTEGER NOT NULL,
  peak_at TIMESTAMPTZ NOT NULL
);

-- migration 4: reading a log: zones as DuckDB knows them, clocks that were not set, signs of life line by line, words for stamps

-- The header by which a file's cells were found, so that its rejects can be read again by themselves.
ALTER TABLE reading ADD COLUMN header VARCHAR; -- JSON list; null where it had none

-- A place (file, line) is listed once: the reading sees to it. A key in memory for every line of a large file of rubbish would not fit.
CREATE TABLE reject_unkeyed (
  reading_id INTEGER NOT NULL,
  file       VARCHAR NOT NULL,
  line       BIGINT NOT NULL,
  text       VARCHAR NOT NULL,
  reason     VARCHAR NOT NULL,
  field      VARCHAR
);
INSERT INTO reject_unkeyed SELECT reading_id, file, line, text, reason, field FROM reject;
DROP TABLE reject;
ALTER TABLE reject_unkeyed RENAME TO reject;

-- Of events stamped by a clock that was not set: the good line before them, and the stamp as written. Two are the same event only
-- if all of it is.
ALTER TABLE event ADD COLUMN anchor VARCHAR;
ALTER TABLE event ADD COLUMN unset_stamp TIMESTAMP;

ALTER TABLE stretch ADD COLUMN sequence BIGINT;

-- Signs of life, exact to the line: whole seconds by station and hour as steps (the first counts from the hour), with the steps of
-- their sequence numbers where they have such. `alive_stretch` is made from them.
CREATE TABLE alive_hour (
  station        VARCHAR NOT NULL,
  hour_at        TIMESTAMPTZ NOT NULL,
  steps          USMALLINT[] NOT NULL,
  first_sequence BIGINT,                 -- null where they have none
  sequence_steps BIGINT[]                -- from one sign to the next, 0 first
);

-- Signs of life with more to them: a fraction of a second, a badge, a detail, a clock that was not set.
CREATE TABLE alive_odd (
  station     VARCHAR NOT NULL,
  occurred_at TIMESTAMPTZ NOT NULL,
  badge       VARCHAR,
  sequence    BIGINT,
  detail      VARCHAR,
  anchor      VARCHAR,
  unset_stamp TIMESTAMP
);

-- Offsets of a zone from UTC, made by DuckDB itself (meta 'zone:<name>' notes by which version), from 1970 to 2199.
CREATE TABLE zone_offset (
  zone           VARCHAR NOT NULL,
  from_utc       TIMESTAMP NOT NULL,
  until_utc      TIMESTAMP NOT NULL,     -- excluded
  offset_seconds INTEGER NOT NULL
);

-- The spans in which local stamps of a zone mean two instants or none: timezone() gives an instant in [from_at, until_at) for each.
CREATE TABLE zone_change (
  zone           VARCHAR NOT NULL,
  from_at        TIMESTAMPTZ NOT NULL,   -- the change itself
  until_at       TIMESTAMPTZ NOT NULL,   -- excluded
  before_seconds INTEGER NOT NULL,       -- offsets from UTC
  after_seconds  INTEGER NOT NULL
);

-- A cell of a log: trimmed, null where it is empty or one of the words for nothing.
CREATE MACRO log_cell(x, nulls) AS
  CASE WHEN len(nulls) = 0 THEN nullif(trim(x, e' \t'), '')
       WHEN list_contains(nulls, trim(x, e' \t')) THEN NULL
       ELSE nullif(trim(x, e' \t'), '') END;

-- Text that was written to a spool, with its escapes undone.
CREATE MACRO log_written(x) AS
  CASE WHEN contains(x, chr(27)) THEN
    replace(replace(replace(replace(replace(replace(replace(x, chr(27) || 'n', chr(10)), chr(27) || 'm', chr(13)),
      chr(27) || '0', chr(0)), chr(27) || '1', chr(1)), chr(27) || 'r', chr(30)), chr(27) || 'c', chr(31)), chr(27) || 'e', chr(27))
  ELSE x END;

-- Whether an ISO 8601 text says its offset from UTC.
CREATE MACRO log_has_offset(x) AS
  CASE WHEN length(x) = 19 AND substr(x, 17, 1) = ':' THEN false
       ELSE regexp_matches(x, '\d\d:?\d\d.*(z|utc|gmt|[+-]\d\d(:?\d\d)?)$', 'i') AND length(x) > 13 END;

-- An ISO 8601 text as a timestamp: in UTC where it says its offset, else as on the wall. Null where it is no date.
CREATE MACRO log_iso_stamp(x) AS
  CASE WHEN length(x) = 19 AND substr(x, 17, 1) = ':' AND substr(x, 1, 1) BETWEEN '0' AND '9' THEN try_cast(x AS TIMESTAMP)
       WHEN log_has_offset(x) THEN
         coalesce(try_cast(regexp_extract(x, '^(\d.*?)\s*(z|utc|gmt|[+-]\d\d(:?\d\d)?)$', 1, 'i') AS TIMESTAMP),
                  try_strptime(regexp_extract(x, '^(\d.*?)\s*(z|utc|gmt|[+-]\d\d(:?\d\d)?)$', 1, 'i'), '%Y%m%dT%H%M%S'))
         - to_seconds(coalesce(try_cast(regexp_extract(x, '([+-])\d\d:?(\d\d)?$', 1) || '1' AS INTEGER), 0)
           * (coalesce(try_cast(regexp_extract(x, '[+-](\d\d):?(\d\d)?$', 1) AS INTEGER), 0) * 3600
            + coalesce(try_cast(regexp_extract(x, '[+-](\d\d):?(\d\d)$', 2) AS INTEGER), 0) * 60))
       WHEN regexp_full_match(x, '\d[0-9Tt:.,/ -]*') THEN
         coalesce(try_cast(replace(x, ',', '.') AS TIMESTAMP), try_strptime(upper(x), '%Y%m%dT%H%M%S')) END;

-- A stamp as a timestamp. style: iso, format (of strptime) or count (of so many microseconds since origin, which is UTC).
CREATE MACRO log_stamp(x, style, format, microseconds, origin, decimal_mark) AS
  CASE style
    WHEN 'iso' THEN log_iso_stamp(x)
    WHEN 'format' THEN try_strptime(x, format)::TIMESTAMP
    ELSE CASE WHEN abs(try_cast(replace(x, decimal_mark, '.') AS DECIMAL(30, 6)) * microseconds) < 7e15
      THEN origin + to_microseconds(round(try_cast(replace(x, decimal_mark, '.') AS DECIMAL(30, 6)) * microseconds)::BIGINT) END END;

-- Scratch of a reading under way, empty between readings: the log's rows as typed, row for row (rowid = row of the file from 0).
CREATE TABLE log_stage (
  line        BIGINT,                    -- null = rowid + 1
  state       VARCHAR,                   -- null = good; else blank, comment, ignored, or what is wrong
  wrong       VARCHAR,                   -- the value at fault
  text        VARCHAR,                   -- as in the file; null where nobody will ask
  stamp       TIMESTAMP,                 -- as written; null where that is UTC
  absolute    BOOLEAN,
  occurred_at TIMESTAMPTZ,
  early_at    TIMESTAMPTZ,
  late_at     TIMESTAMPTZ,
  station     VARCHAR,
  kind        VARCHAR,
  badge       VARCHAR,                   -- as written
  sequence    BIGINT,
  detail      VARCHAR,
  repair      VARCHAR,
  anchor      VARCHAR
);
CREATE TABLE log_session_stage (
  line        BIGINT,
  state       VARCHAR,
  wrong       VARCHAR,
  text        VARCHAR,
  started_at  TIMESTAMPTZ,
  finished_at TIMESTAMPTZ,
  station     VARCHAR,
  badge       VARCHAR,
  sequence    BIGINT,
  detail      VARCHAR,
  repair      VARCHAR
);
-- Badges of the log under way, as written and as they are stored.
CREATE TABLE log_badge (
  badge  VARCHAR NOT NULL,
  stored VARCHAR NOT NULL
);
-- Rows of the log under way that are there already.
CREATE TABLE log_drop (
  row_number BIGINT NOT NULL
);

-- migration 5: signs of life with what their stretches are told by, and the scratch of reading them

DROP TABLE alive_hour;
CREATE TABLE alive_hour (
  station             VARCHAR NOT NULL,
  hour_at             TIMESTAMPTZ NOT NULL,
  has_sequence        BOOLEAN NOT NULL,        -- those with sequence numbers and those without have a row each
  signs               INTEGER NOT NULL,
  first_second        USMALLINT NOT NULL,      -- of the hour
  last_second         USMALLINT NOT NULL,
  longest_gap_seconds USMALLINT NOT NULL,      -- within the hour; 0 for one sign
  usual_gap_seconds   DOUBLE,                  -- median within the hour, null under three signs
  steps               USMALLINT[] NOT NULL,    -- seconds from the hour to the first sign, then from one to the next
  sequence_steps      BIGINT[]                 -- the first sequence number, then the differences; null where they have none
);

CREATE TABLE log_alive (
  station  VARCHAR NOT NULL,
  hour_at  TIMESTAMPTZ NOT NULL,
  second   USMALLINT NOT NULL,
  sequence BIGINT
);
CREATE TABLE log_alive_known (
  station  VARCHAR NOT NULL,
  hour_at  TIMESTAMPTZ NOT NULL,
  second   USMALLINT NOT NULL,
  sequence BIGINT
);
CREATE TABLE log_alive_odd (
  station     VARCHAR NOT NULL,
  occurred_at TIMESTAMPTZ NOT NULL,
  badge       VARCHAR,
  sequence    BIGINT,
  detail      VARCHAR,
  anchor      VARCHAR,
  unset_stamp TIMESTAMP
);
-- From where on a station's stretches of life are drawn anew.
CREATE TABLE log_alive_cut (
  station VARCHAR NOT NULL,
  cut_at  TIMESTAMPTZ NOT NULL
);
-- Rows with a local stamp in an hour that a change of offset repeats or leaves out.
CREATE TABLE log_changing (
  row_number     BIGINT NOT NULL,
  stamp          TIMESTAMP,
  station        VARCHAR,
  sequence       BIGINT,
  change_at      TIMESTAMPTZ,
  before_seconds INTEGER,
  after_seconds  INTEGER
);
-- Stored events of an unset clock that the log under way has again.
CREATE TABLE log_moved (
  row_number  BIGINT NOT NULL,
  event_row   BIGINT NOT NULL,
  occurred_at TIMESTAMPTZ,
  early_at    TIMESTAMPTZ,
  late_at     TIMESTAMPTZ,
  old_at      TIMESTAMPTZ,
  station     VARCHAR,
  repair      VARCHAR,
  is_better   BOOLEAN
);

-- migration 6: what a machine's seen sessions say about length, in a form that new lines seldom change

DROP TABLE machine_length;
-- Kept beside session so that new lines need not read it all. The reference is all seen sessions up to a day; from 512 sessions on
-- that day moves only when their number has grown by about a twentieth.
CREATE TABLE machine_length (
  machine            VARCHAR NOT NULL,
  sessions           BIGINT NOT NULL,      -- seen ends of trusted length
  longest_seconds    DOUBLE NOT NULL,
  reference_until    TIMESTAMPTZ NOT NULL, -- excluded
  reference_sessions BIGINT NOT NULL,
  pauses             BIGINT NOT NULL,      -- of the reference: pauses within a day, and how long they were together
  pause_seconds      DOUBLE NOT NULL,
  lengths            DOUBLE[] NOT NULL     -- of the reference, ascending, of equal weight; 512 quantiles where it has more
);

-- Silences after which a station was heard again without having started anew: what network causes are inferred from.
CREATE TABLE silence (
  station        VARCHAR NOT NULL,
  low_at         TIMESTAMPTZ NOT NULL, -- its last sign of life before
  high_at        TIMESTAMPTZ NOT NULL, -- what was heard first thereafter
  alive_at       TIMESTAMPTZ NOT NULL, -- its next sign of life
  rhythm_seconds DOUBLE NOT NULL
);

-- migration 7: the service record: parts and tasks of the workshop file, what was done, outages typed at the bench, stock, notes

-- Of the workshop file, rewritten whenever it changes.
CREATE TABLE part (
  machine    VARCHAR NOT NULL,
  part       VARCHAR NOT NULL,
  ordinal    INTEGER NOT NULL,
  name       VARCHAR NOT NULL,
  class      VARCHAR,
  fitted_at  TIMESTAMPTZ,
  used_low   DOUBLE,                   -- use when the log begins, in the part's own unit
  used_best  DOUBLE,
  used_high  DOUBLE,
  price      DOUBLE,
  lead_days  DOUBLE,
  stock      INTEGER,                  -- pieces on the shelf as the file says
  PRIMARY KEY (machine, part)
);
CREATE TABLE task (
  machine       VARCHAR NOT NULL,
  part          VARCHAR NOT NULL,
  task          VARCHAR NOT NULL,
  ordinal       INTEGER NOT NULL,
  name          VARCHAR NOT NULL,
  renews        BOOLEAN NOT NULL,      -- the part is new after it
  inspects      BOOLEAN NOT NULL,      -- looks and mends nothing
  resets        VARCHAR NOT NULL,      -- JSON list of tasks of the part that begin anew with it
  at_most       INTEGER,
  cost_planned  DOUBLE,
  cost_failure  DOUBLE,
  isolate       VARCHAR,
  who           VARCHAR,
  source        VARCHAR,
  note          VARCHAR,
  reading_name  VARCHAR,
  reading_unit  VARCHAR,
  reading_limit DOUBLE,
  reading_due   VARCHAR,               -- above, below
  PRIMARY KEY (machine, part, task)
);
-- One row for each basis a task is counted in.
CREATE TABLE task_limit (
  machine     VARCHAR NOT NULL,
  part        VARCHAR NOT NULL,
  task        VARCHAR NOT NULL,
  basis       VARCHAR NOT NULL,        -- hours, load-hours, starts, days, use-days, cycles
  every       DOUBLE,
  first_after DOUBLE                   -- once early after the part is new
);
-- Readings and outages of the workshop file alone; machine_meter and machine_outage hold these and those of the record.
CREATE TABLE workshop_meter (
  machine VARCHAR NOT NULL,
  read_at TIMESTAMPTZ NOT NULL,
  hours   DOUBLE NOT NULL
);
CREATE TABLE workshop_outage (
  machine  VARCHAR NOT NULL,
  from_at  TIMESTAMPTZ NOT NULL,
  until_at TIMESTAMPTZ NOT NULL,
  reason   VARCHAR
);
INSERT INTO workshop_meter SELECT machine, read_at, hours FROM machine_meter;
INSERT INTO workshop_outage SELECT machine, from_at, until_at, reason FROM machine_outage;

-- What was done. Lines are only ever added: an undo and a correction are lines of their own, and the old line stays.
CREATE TABLE service_record (
  record_id   BIGINT NOT NULL,
  machine     VARCHAR NOT NULL,
  part        VARCHAR NOT NULL,
  task        VARCHAR NOT NULL,
  done_at     TIMESTAMPTZ NOT NULL,
  done_until  TIMESTAMPTZ,             -- done some time between the two; null: at done_at
  found       VARCHAR NOT NULL,        -- good, worn, failed, damaged, unknown
  why         VARCHAR,
  meter_hours DOUBLE,
  readings    VARCHAR,                 -- JSON object of figures by name
  cost        DOUBLE,
  note        VARCHAR,
  done_by     VARCHAR,
  serial      VARCHAR,                 -- of the piece that is in the machine afterwards
  corrects    BIGINT,                  -- the record that this one stands in for
  withdrawn   BOOLEAN NOT NULL,        -- the correction says that it was never done
  entered_at  TIMESTAMPTZ NOT NULL,
  entered_by  VARCHAR NOT NULL,
  entered_as  VARCHAR NOT NULL         -- typed, import
);
CREATE TABLE service_undo (
  record_id BIGINT NOT NULL,
  undone_at TIMESTAMPTZ NOT NULL,
  undone_by VARCHAR NOT NULL
);
-- The records that count: not undone, and no correction stands in for them.
CREATE VIEW service_known AS
SELECT r.*
FROM service_record AS r
WHERE NOT r.withdrawn
  AND NOT EXISTS (SELECT 1 FROM service_undo AS u WHERE u.record_id = r.record_id)
  AND NOT EXISTS (
    SELECT 1
    FROM service_record AS c
    WHERE c.corrects = r.record_id AND NOT EXISTS (SELECT 1 FROM service_undo AS u WHERE u.record_id = c.record_id)
  );
CREATE TABLE bench_outage (
  outage_id  BIGINT NOT NULL,
  machine    VARCHAR NOT NULL,
  from_at    TIMESTAMPTZ NOT NULL,
  until_at   TIMESTAMPTZ,              -- null while it lasts
  reason     VARCHAR,
  tagged_by  VARCHAR,
  ended_by   VARCHAR,
  entered_at TIMESTAMPTZ NOT NULL
);
-- Pieces that came to the shelf or left it; a count says how many there are.
CREATE TABLE stock_move (
  move_id    BIGINT NOT NULL,
  machine    VARCHAR NOT NULL,
  part       VARCHAR NOT NULL,
  moved_at   TIMESTAMPTZ NOT NULL,
  kind       VARCHAR NOT NULL,         -- count, bought, used, scrapped
  pieces     INTEGER NOT NULL,         -- how many; of a count how many there are
  serial     VARCHAR,
  cost       DOUBLE,
  note       VARCHAR,
  record_id  BIGINT,                   -- the service record that used them
  moved_by   VARCHAR,
  entered_at TIMESTAMPTZ NOT NULL
);
-- What members say of a machine ("it's dull"), until somebody has looked.
CREATE TABLE machine_note (
  note_id    BIGINT NOT NULL,
  machine    VARCHAR NOT NULL,
  said_at    TIMESTAMPTZ NOT NULL,
  text       VARCHAR NOT NULL,
  said_by    VARCHAR,
  closed_at  TIMESTAMPTZ,
  closed_by  VARCHAR,
  entered_at TIMESTAMPTZ NOT NULL
);
-- What was sent with a key of its own, so that it arrives once however often it is sent.
CREATE TABLE entry_key (
  entry_key  VARCHAR PRIMARY KEY,
  kind       VARCHAR NOT NULL,         -- service, outage, stock, note
  entry_id   BIGINT NOT NULL,
  entered_at TIMESTAMPTZ NOT NULL
);

-- migration 8: who may see what: accounts, visits, tokens, failed tries, the trail

-- Secrets stand here as hashes, but for the second factor, whose sums need it as it is: keep a copy of the store as you would a key.
CREATE TABLE account (
  name        VARCHAR PRIMARY KEY,         -- as typed at sign-in, lower case
  roles       VARCHAR NOT NULL,            -- JSON list: maintenance, board, safety, steward
  password    VARCHAR,                     -- scrypt$n$r$p$salt$key; null until its holder has chosen one
  password_at TIMESTAMPTZ,
  factor      VARCHAR,                     -- second factor: shared secret in base32, null where none is set
  factor_step BIGINT,                      -- time step of the last code that was used, none of which works again
  paper_codes VARCHAR NOT NULL,            -- JSON list of the hashes of recovery codes not used yet
  made_at     TIMESTAMPTZ NOT NULL
);

-- A browser that is signed in, or on its way to; its cookie holds a random id of which only the hash stands here.
CREATE TABLE visit (
  hash    VARCHAR PRIMARY KEY,
  account VARCHAR,                         -- null until sign-in is complete
  content VARCHAR NOT NULL,                -- JSON
  made_at TIMESTAMPTZ NOT NULL,
  seen_at TIMESTAMPTZ NOT NULL
);

-- Whatever opens one door: tokens of sources and calendars, phones at the bench, and one-time links to a password or a phone.
CREATE TABLE token (
  purpose   VARCHAR NOT NULL,              -- source, calendar, bench, welcome (a first or new password), enrol (a phone)
  name      VARCHAR NOT NULL,              -- of the source, calendar or bench; of the account for welcome
  hash      VARCHAR NOT NULL,
  made_at   TIMESTAMPTZ NOT NULL,
  made_by   VARCHAR NOT NULL,
  until_at  TIMESTAMPTZ,                   -- null = until removed
  used_at   TIMESTAMPTZ                    -- last used, to the minute
);

-- Failed tries to sign in, by account and by address; forgotten after a day.
CREATE TABLE sign_in_try (
  hash    VARCHAR PRIMARY KEY,             -- of the account's name or the address, as typed: it may be a mistyped password
  failed  INTEGER NOT NULL,
  last_at TIMESTAMPTZ NOT NULL
);

-- Who saw member data and who changed what; rows are only ever added. Each seal is a hash over its row and the seal before.
CREATE TABLE trail (
  entry   BIGINT NOT NULL,
  at_time TIMESTAMPTZ NOT NULL,
  who     VARCHAR NOT NULL,                -- an account, "command line", "bench …", "source …"
  act     VARCHAR NOT NULL,                -- saw, changed, signed-in, signed-out, refused
  what    VARCHAR NOT NULL,                -- the command or thing
  detail  VARCHAR NOT NULL,                -- JSON; never a badge, a name of a member, a secret
  seal    VARCHAR NOT NULL
);

-- migration 9: numbers missing from a station's counter follow from the lines alone: a view

DROP TABLE sequence_gap;
-- Lines change places within three lines of each other, and the counter may start anew; both are no gaps.
CREATE VIEW sequence_gap AS
WITH numbered AS (
  SELECT station, occurred_at, sequence, line FROM event WHERE sequence IS NOT NULL
  UNION ALL
  SELECT station, occurred_at, sequence, 0 FROM alive_odd WHERE sequence IS NOT NULL
  UNION ALL
  SELECT station, hour_at + to_seconds(sum(step) OVER so_far), (sum(sequence_step) OVER so_far)::bigint, 0
  FROM (
    SELECT station, hour_at, unnest(steps) AS step, unnest(sequence_steps) AS sequence_step, generate_subscripts(steps, 1) AS place
    FROM alive_hour WHERE has_sequence
  )
  WINDOW so_far AS (PARTITION BY station, hour_at ORDER BY place)
), beside AS (
  SELECT station, sequence, occurred_at AS until_at,
    lag(occurred_at) OVER line_order AS from_at,
    lag(sequence) OVER line_order AS before,
    [lag(sequence, 2) OVER line_order, lag(sequence, 3) OVER line_order, lag(sequence, 4) OVER line_order,
     lead(sequence, 1) OVER line_order, lead(sequence, 2) OVER line_order, lead(sequence, 3) OVER line_order] AS others
  FROM numbered
  WINDOW line_order AS (PARTITION BY station ORDER BY occurred_at, sequence, line)
), counted AS (
  SELECT station, from_at, until_at,
    sequence - before - 1 - len(list_distinct(list_filter(others, lambda other: other > before AND other < sequence))) AS missing
  FROM beside
  WHERE sequence > before + 1
)
SELECT station, from_at, until_at, missing FROM counted WHERE missing > 0;

-- migration 10: what was said of findings, what was told of them, and evidence that is held

-- Lines are only ever added: the last one of a finding holds. What it was about stands beside it, so that a finding whose start
-- moved by some seconds is known again, and one whose evidence has changed comes back.
CREATE TABLE finding_review (
  review_id   BIGINT NOT NULL,
  finding_id  VARCHAR NOT NULL,
  state       VARCHAR NOT NULL,        -- open, explained, acted, dismissed
  note        VARCHAR NOT NULL,
  reviewed_by VARCHAR NOT NULL,
  entered_at  TIMESTAMPTZ NOT NULL,
  rule        VARCHAR NOT NULL,
  severity    VARCHAR NOT NULL,
  machine     VARCHAR,
  group_id    VARCHAR,
  station     VARCHAR,
  badge       VARCHAR,                 -- as stored in event.badge
  from_at     TIMESTAMPTZ NOT NULL,
  until_at    TIMESTAMPTZ NOT NULL,
  figures     VARCHAR NOT NULL         -- JSON object of the evidence's figures
);
-- What was sent about a finding: claimed before it is sent, so that it is never sent twice.
CREATE TABLE finding_told (
  finding_id VARCHAR NOT NULL,
  channel    VARCHAR NOT NULL,         -- webhook, mail
  claimed_at TIMESTAMPTZ NOT NULL,
  tries      INTEGER NOT NULL,
  next_at    TIMESTAMPTZ,              -- when it is tried again; null while it is being sent and once it was
  sent_at    TIMESTAMPTZ,
  problem    VARCHAR,                  -- of the last try
  message    VARCHAR NOT NULL,         -- JSON, as it was first told
  PRIMARY KEY (finding_id, channel)
);
-- Evidence of an incident that neither retention nor forgetting may take while the hold lasts: lines from from_at until until_at
-- (excluded), of that badge and at that machine where they are named.
CREATE TABLE incident_hold (
  hold_id    BIGINT NOT NULL,
  from_at    TIMESTAMPTZ NOT NULL,
  until_at   TIMESTAMPTZ NOT NULL,
  badge      VARCHAR,                  -- as stored in event.badge; null: every badge
  machine    VARCHAR,                  -- null: everywhere
  finding_id VARCHAR,
  reason     VARCHAR NOT NULL,
  held_until TIMESTAMPTZ NOT NULL,     -- it ends by itself then
  held_by    VARCHAR NOT NULL,
  entered_at TIMESTAMPTZ NOT NULL,
  ended_at   TIMESTAMPTZ,              -- ended earlier by somebody
  ended_by   VARCHAR
);

-- migration 11: how long stations stood empty between sessions, by who came next, in place of the mean pause

ALTER TABLE machine_length DROP COLUMN pauses;
ALTER TABLE machine_length DROP COLUMN pause_seconds;
CREATE TABLE machine_pause (
  machine    VARCHAR NOT NULL,
  same_badge BOOLEAN NOT NULL,         -- the badge that came next was the one that had left
  bin        INTEGER NOT NULL,         -- by length: ingest/derive/pause-bin.sql
  pauses     BIGINT NOT NULL
);

-- migration 12: copies of what the store holds, and badges whose holders were forgotten

-- Backups, exports and stores of older versions as they were made, so that it can be told where a forgotten member may still stand.
CREATE TABLE copy_made (
  kind    VARCHAR NOT NULL,          -- backup, export, before migration, before restore, rescue
  path    VARCHAR NOT NULL,
  made_at TIMESTAMPTZ NOT NULL,
  bytes   BIGINT,
  sha256  VARCHAR
);
-- Under what name a forgotten badge's lines stand and further ones are stored. The mark is a keyed hash: without the key file it
-- tells nobody whose badge it was.
CREATE TABLE forgotten (
  mark         VARCHAR NOT NULL,
  stand_in     VARCHAR NOT NULL,
  forgotten_at TIMESTAMPTZ NOT NULL
);

-- migration 13: what volunteers decided about how long parts stay in

-- Only ever added to; the last word on a task counts.
CREATE TABLE life_decision (
  decision_id       BIGINT NOT NULL,
  machine           VARCHAR NOT NULL,
  part              VARCHAR NOT NULL,
  task              VARCHAR NOT NULL,
  decided_at        TIMESTAMPTZ NOT NULL,
  choice            VARCHAR NOT NULL,      -- suggested, own, set, inspect, run-to-failure
  unit              VARCHAR NOT NULL,      -- hours, load-hours, starts, days, use-days, cycles
  every             DOUBLE,                -- the age chosen, in the unit; null where none was
  run_factor        DOUBLE,                -- what run-hours rested on then; null in other units
  suggested         DOUBLE,                -- what the record suggested then
  cost_per_hour     DOUBLE,                -- per unit, at the age suggested and at that of the workshop file
  cost_per_hour_set DOUBLE,
  note              VARCHAR,
  decided_by        VARCHAR,
  entered_by        VARCHAR NOT NULL
);

-- migration 14: how wide windows should have been, and every window as it was issued

-- What rolling forecasts of the past came to, as of a local day; of all machines by days ahead, and of single ones next to those.
-- Rows are only ever added.
CREATE TABLE forecast_width (
  as_of_day  DATE NOT NULL,            -- nothing of later days went in
  machine    VARCHAR,                  -- null: all
  days_ahead INTEGER,                  -- null: one machine's, whatever the days ahead
  windows    INTEGER NOT NULL,
  factor     DOUBLE NOT NULL           -- how much wider forecasts should have been
);
-- Windows of due dates, as they were issued once a week. Rows are only ever added.
CREATE TABLE due_window (
  window_id    BIGINT NOT NULL,
  issued_at    TIMESTAMPTZ NOT NULL,   -- the as-of time
  issued_day   DATE NOT NULL,          -- its local day
  machine      VARCHAR NOT NULL,
  part         VARCHAR NOT NULL,
  task         VARCHAR NOT NULL,
  basis        VARCHAR NOT NULL,       -- the limit expected first, never days or a reading
  used         DOUBLE NOT NULL,
  limit_used   DOUBLE NOT NULL,        -- the interval, in the same unit
  begun_at     TIMESTAMPTZ,            -- when the count began
  early_day    DATE,                   -- null: beyond the reach of the forecast
  median_day   DATE,
  late_day     DATE
);
-- What came of a window: the local day on which use came to the limit, had nothing been done meanwhile. A row each, once.
CREATE TABLE due_outcome (
  window_id   BIGINT NOT NULL,
  crossed_day DATE NOT NULL,
  noted_at    TIMESTAMPTZ NOT NULL     -- the as-of time at which it was first known
);

-- migration 15: which digest went to whom

-- Claimed before it is sent, so that none goes out twice for the same week.
CREATE TABLE digest_sent (
  week       DATE NOT NULL,            -- its Monday
  role       VARCHAR NOT NULL,
  recipient  VARCHAR NOT NULL,
  claimed_at TIMESTAMPTZ NOT NULL,
  sent_at    TIMESTAMPTZ,              -- null: being sent, or it is not known whether it arrived
  PRIMARY KEY (week, role, recipient)
);

-- migration 16: how much of the day on which a window was issued was still to come

ALTER TABLE due_window ADD COLUMN rest_of_day DOUBLE;

-- migration 17: who held which badge on which days: a view, asked by all that count persons

-- From the first line of a badge on it is that person's, whatever its dates; the next line hands it on.
CREATE VIEW badge_holder AS
SELECT
  badge,
  'person:' || person AS person,
  role = 'maintainer' AS is_maintainer,
  CASE WHEN row_number() OVER held = 1 THEN DATE '-infinity' ELSE valid_from END AS from_day,
  lead(valid_from, 1, DATE 'infinity') OVER held AS until_day -- excluded
FROM roster
WINDOW held AS (PARTITION BY badge ORDER BY valid_from NULLS FIRST, valid_until, person);
