-- Removes what was noted of some lines of a file, which are about to be read again.
-- $file · $lines JSON list.
DELETE FROM reject WHERE file = $file AND line IN (SELECT unnest(($lines::JSON)::BIGINT[]));
