-- The points that were made.
-- Gives: point integer, machine varchar, from_at, next_at varchar (timestamptz), days integer, next_day varchar (timestamp).
SELECT point, machine, from_at::varchar AS from_at, next_at::varchar AS next_at, days, next_day::varchar AS next_day FROM service_point;
