-- What the roll-ups were made from, beside what the tables hold now.
-- Gives one row or none: zone, first_month, until_month varchar (dates), open_from varchar (timestamptz), reach varchar (timestamptz,
-- the latest end of anything), log_from varchar (timestamptz, the log's first instant), fingerprint varchar, sessions,
-- sessions_now, motors, motors_now integer, shadowed boolean (tables of this connection hide the store's).
SELECT
  zone,
  first_month::varchar AS first_month,
  until_month::varchar AS until_month,
  open_from::varchar AS open_from,
  (SELECT max(reach) FROM rollup_bin)::varchar AS reach,
  (SELECT value FROM meta WHERE key = 'rollup_log_from') AS log_from,
  fingerprint,
  sessions::integer AS sessions,
  (SELECT count(*) FROM session)::integer AS sessions_now,
  motors::integer AS motors,
  (SELECT count(*) FROM motor)::integer AS motors_now,
  EXISTS (FROM duckdb_tables() WHERE temporary AND table_name IN ('session', 'motor')) AS shadowed
FROM rollup_state;
