-- Service records that stand, done after a moment.
-- $as_of timestamptz.
-- Gives: records double.
SELECT count(*)::double AS "records" FROM service_known WHERE done_at > $as_of;
