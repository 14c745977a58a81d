-- How each unseen session ended, and between which instants.
-- $as_of timestamptz. Reads unseen, reference.
-- Makes judged: the columns of unseen and ended, end_low, end_high, cause_id, cut_low, cut_high (when the cause struck, where
-- one ended it), and heard: it ran until the cause struck.
CREATE OR REPLACE TEMP TABLE judged AS
SELECT unseen.*,
  CASE
    WHEN closer = 'boot' AND epoch(evidence_at - started_at) <= longest_seconds THEN 'restarted'
    WHEN epoch(bound_at - started_at) > longest_seconds THEN 'lost'
    WHEN closer = 'enable' THEN 'superseded'
    WHEN closer IS NULL THEN 'open'
    ELSE 'lost'
  END AS ended,
  evidence_at AS end_low,
  bound_at AS end_high,
  NULL::integer AS cause_id,
  CASE WHEN closer = 'boot' THEN evidence_at END AS cut_low,
  CASE WHEN closer = 'boot' THEN bound_at END AS cut_high,
  false AS heard
FROM unseen JOIN reference USING (machine)
