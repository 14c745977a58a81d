-- Returns a machine.
-- $id bigint · $until timestamptz · $by varchar.
UPDATE bench_outage SET until_at = $until::timestamptz, ended_by = $by WHERE outage_id = $id
