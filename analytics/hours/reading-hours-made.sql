-- The working table hours_reading.
-- Gives: from_at varchar (timestamptz), enabled_hours double.
SELECT from_at::varchar AS from_at, enabled_hours FROM hours_reading;
