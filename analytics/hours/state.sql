-- The roll-ups, if they were made from what the tables hold now.
-- $zone IANA name.
-- Gives one row or none: first_month, until_month varchar (dates), open_from varchar (timestamptz).
SELECT first_month::varchar AS first_month, until_month::varchar AS until_month, open_from::varchar AS open_from
FROM rollup_state AS state
WHERE state.zone = $zone
  AND state.sessions = (SELECT count(*) FROM session)
  AND state.motors = (SELECT count(*) FROM motor)
  AND state.fingerprint = (SELECT fingerprint FROM workshop_fingerprint(state.until_month))
  AND NOT EXISTS (FROM duckdb_tables() WHERE temporary AND table_name IN ('session', 'motor'));
