-- How each unseen session ended, and between which instants.
-- Reads unseen, reference, boot_silence, cause_member, cause.
-- Makes judged: the columns of unseen and ended, end_low, end_high, cause_id, heard = it ran until its cause struck.
CREATE OR REPLACE TEMP TABLE judged AS
WITH cut AS (
  SELECT unseen.*, longest_seconds, cause.cause_id,
    -- Signs of life without a break since the start: a release would have been heard. Where a station gives none, its lines
    -- tell as much.
    rhythm_seconds IS NULL OR epoch_us(alive_from_at) <= epoch_us(started_at) + 1500000 * rhythm_seconds AS heard,
    CASE WHEN heard THEN greatest(evidence_at, low_at, from_low) ELSE evidence_at END AS cut_low,
    least(bound_at, from_high) AS cut_high
  FROM unseen JOIN reference USING (machine)
  LEFT JOIN cause_member ON cause_member.station = unseen.station AND boot_at = bound_at AND closer = 'boot'
  LEFT JOIN cause ON cause.cause_id = cause_member.cause_id
  LEFT JOIN boot_silence ON boot_silence.station = unseen.station AND boot_silence.boot_at = bound_at AND closer = 'boot'
)
SELECT session_id, machine, station, badge, started_at, starts, closer, bound_at,
  CASE
    WHEN restarted THEN 'restarted'
    WHEN epoch_us(bound_at) - epoch_us(started_at) > 1e6 * longest_seconds THEN 'lost'
    WHEN closer = 'enable' THEN 'superseded'
    WHEN closer IS NULL THEN 'open'
    ELSE 'lost'
  END AS ended,
  CASE WHEN restarted THEN cut_low ELSE evidence_at END AS end_low,
  coalesce(cut_high, bound_at) AS end_high,
  CASE WHEN restarted THEN cause_id END AS cause_id,
  restarted AND heard AS heard
FROM (
  -- A session far longer than any seen is none that the cut ended: its release got lost before.
  SELECT *, cause_id IS NOT NULL AND epoch_us(cut_low) - epoch_us(started_at) <= 1e6 * longest_seconds AS restarted FROM cut
)
