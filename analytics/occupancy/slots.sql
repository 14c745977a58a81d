-- Makes the temporary table occupancy_slot: the windows themselves, each a slot.
-- $windows varchar, JSON list of {"from","until"}.
-- Gives the table: label timestamp (an order, no more), from_at, until_at timestamptz.
CREATE OR REPLACE TEMP TABLE occupancy_slot AS
SELECT TIMESTAMP '1970-01-01' + to_days(place::integer) AS label, (w->>'from')::timestamptz AS from_at, (w->>'until')::timestamptz AS until_at
FROM (SELECT unnest($windows::json[]) AS w, generate_subscripts($windows::json[], 1) AS place);
