-- Where the walk goes: a row for each closing of a circuit, each boot and each release whose closing nobody logged, with what its
-- station logged around it.
-- Makes walked (empty) and believed (empty, lines of stations that need care, filled by believed.sql).
CREATE OR REPLACE TEMP TABLE walked (
  station VARCHAR, n BIGINT,         -- n: order at the station
  kind VARCHAR, badge VARCHAR, occurred_at TIMESTAMPTZ, early_at TIMESTAMPTZ, late_at TIMESTAMPTZ,
  before_at TIMESTAMPTZ,             -- the line before
  next_kind VARCHAR, next_at TIMESTAMPTZ, next_early_at TIMESTAMPTZ, next_late_at TIMESTAMPTZ, -- the line behind
  again BOOLEAN, again_next BOOLEAN, -- the contact bounced: still the session before; the one behind is still this session
  tied BOOLEAN,                      -- order unsure: two readings logged their lines at the same instant
  stray BOOLEAN,                     -- the release behind is of another badge
  plain BOOLEAN,                     -- closed once, released behind, nothing else at either instant, a believed clock
  lone BOOLEAN                       -- a release, the one before it having ended a session that was seen whole
);
CREATE OR REPLACE TEMP TABLE believed (
  station VARCHAR, kind VARCHAR, badge VARCHAR, occurred_at TIMESTAMPTZ, early_at TIMESTAMPTZ, late_at TIMESTAMPTZ,
  sequence BIGINT, reading_id INTEGER, line BIGINT
)
