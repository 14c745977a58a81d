-- How each unseen session ended, and between which instants; of a session whose start was not seen, as if it began with the release
-- before.
-- Reads unseen, reference, boot_silence, cause_member, cause.
-- Makes judged: the columns of unseen and ended, end_low, end_high, cause_id, heard = it ran until its cause struck.
CREATE OR REPLACE TEMP TABLE judged AS
WITH boot AS MATERIALIZED (
  -- What is known of each boot that ended a session, put together first: in one go a plan may cross the lot.
  SELECT boot_silence.station, boot_silence.boot_at, low_at, rhythm_seconds, alive_from_at, cause_member.cause_id
  FROM boot_silence JOIN cause_member ON cause_member.station = boot_silence.station AND cause_member.boot_at = boot_silence.boot_at
  WHERE ended_session
), struck AS MATERIALIZED (
  SELECT boot.*, from_low, from_high FROM boot JOIN cause USING (cause_id)
), booted AS MATERIALIZED (
  SELECT session_id, struck.* EXCLUDE (station, boot_at)
  FROM unseen JOIN struck ON struck.station = unseen.station AND struck.boot_at = unseen.bound_at
  WHERE closer = 'boot'
), told AS MATERIALIZED (
  SELECT unseen.*, booted.* EXCLUDE (session_id) FROM unseen LEFT JOIN booted USING (session_id)
), cut AS (
  SELECT told.*, longest_seconds,
    -- Signs of life without a break since the start: a release would have been heard. Where a station gives none, its lines
    -- tell as much.
    cause_id IS NOT NULL AND
      (rhythm_seconds IS NULL OR epoch_us(alive_from_at) <= epoch_us(started_at) + 1500000 * rhythm_seconds) AS heard,
    CASE WHEN heard THEN greatest(evidence_at, low_at, from_low) ELSE evidence_at END AS cut_low,
    least(bound_at, from_high) AS cut_high
  FROM told JOIN reference USING (machine)
)
SELECT session_id, machine, station, badge, started_at, starts, closer, bound_at,
  CASE
    WHEN closer = 'release' THEN 'released'
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
