-- The trail in its order; all of it, since the seals hang together.
-- Gives: entry integer, at_time timestamptz, who, act, what, detail (JSON), seal varchar.
SELECT entry::integer AS entry, at_time, who, act, what, detail, seal FROM trail ORDER BY entry;
