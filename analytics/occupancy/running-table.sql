-- Makes the empty temporary table occupancy_running: who had which machine enabled, cut at the slots.
CREATE OR REPLACE TEMP TABLE occupancy_running (
  label TIMESTAMP,
  machine VARCHAR,
  person VARCHAR,
  from_at TIMESTAMPTZ,
  until_at TIMESTAMPTZ
);
