-- When the next message waits to be sent.
-- Gives: "nextAt" timestamptz, null where none does.
SELECT min(next_at) AS "nextAt" FROM finding_told WHERE sent_at IS NULL AND next_at IS NOT NULL;
