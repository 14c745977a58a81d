-- How each machine's hours come about.
-- Gives: machine varchar, kind varchar (stations, driven, always-on, meter).
SELECT machine AS "machine", kind AS "kind" FROM machine;
