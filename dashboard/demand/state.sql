-- What the answers about demand hang on, beside the span: other readings, sessions, workshop file or outages give another text.
-- Gives: state varchar.
SELECT md5(concat_ws(
  '|',
  (SELECT coalesce(string_agg(key || '=' || value, ',' ORDER BY key), '') FROM meta),
  (SELECT concat_ws(',', count(*), max(reading_id)) FROM reading),
  (SELECT concat_ws(',', count(*), bit_xor(hash(session_id, ended_at, end_best))) FROM session),
  (SELECT coalesce(bit_xor(hash(machine, from_at, until_at)), 0) FROM machine_outage),
  (SELECT coalesce(bit_xor(hash(badge, person, role, valid_from, valid_until)), 0) FROM roster),
  (SELECT concat_ws(',', count(*), max(record_id)) FROM service_record)
)) AS state;
