-- Messages that were being sent when the process died: nobody knows whether they arrived, and they are not sent again.
-- Gives: finding_id, channel varchar.
UPDATE finding_told SET problem = 'the dashboard ended while it was being sent; it may or may not have arrived'
WHERE sent_at IS NULL AND next_at IS NULL AND problem IS NULL
RETURNING finding_id, channel;
