-- The last good event of a live source, which stands before the lines of its next batch.
-- $file name of the source.
-- Gives: before_us double (microseconds since 1970), anchor varchar as settle-unset.sql makes it.
SELECT epoch_us(e.occurred_at)::DOUBLE AS before_us,
  md5(concat_ws('|', 'ahead', epoch_us(e.occurred_at), e.station, e.kind, e.badge, e.sequence, e.detail)) AS anchor
FROM event AS e SEMI JOIN reading AS r ON r.reading_id = e.reading_id AND r.file = $file
WHERE e.anchor IS NULL
ORDER BY e.reading_id DESC, e.line DESC LIMIT 1;
