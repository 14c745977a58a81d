-- Makes the temporary table service_point: the instants from which use is wanted, each with the local days since.
-- $points varchar, JSON list of {"point","machine","from"} · $as_of timestamptz · $zone IANA name.
-- Gives the table: point integer, machine varchar, from_at timestamptz, days integer (from its local day to that of the as-of time).
CREATE OR REPLACE TEMP TABLE service_point AS
SELECT
  (p->>'point')::integer AS point,
  p->>'machine' AS machine,
  (p->>'from')::timestamptz AS from_at,
  date_diff('day', timezone($zone, (p->>'from')::timestamptz)::date, timezone($zone, $as_of::timestamptz)::date)::integer AS days
FROM (SELECT unnest($points::json[]) AS p);
