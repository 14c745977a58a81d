-- Tags a machine out.
-- $id bigint · $machine varchar · $from, $until timestamptz · $reason, $by varchar · $now timestamptz.
INSERT INTO bench_outage VALUES ($id, $machine, $from::timestamptz, $until::timestamptz, $reason, $by, NULL, $now::timestamptz)
