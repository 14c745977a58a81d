-- One text that changes whenever anything does that the past of use is told from, other than the as-of time.
-- Gives one row: mark varchar.
SELECT concat_ws(
  ' ',
  (SELECT sum(hash(bin, checksum)) FROM rollup_bin),
  (SELECT fingerprint || zone FROM rollup_state),
  (SELECT string_agg(key || value, ' ' ORDER BY key) FROM meta WHERE key IN ('workshop', 'opening')),
  (SELECT count(*)::varchar || ':' || coalesce(sum(hash(from_at, until_at, day)), 0)::varchar FROM opening)
) AS mark;
