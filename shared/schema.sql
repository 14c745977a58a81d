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
