-- The rejects by file and by the header under which they were read.
-- Gives: file, header varchar (JSON list, null where it had none).
SELECT DISTINCT reject.file, reading.header FROM reject LEFT JOIN reading USING (reading_id) ORDER BY ALL;
