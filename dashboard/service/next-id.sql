-- The next number of each kind of entry.
-- Gives: service, outage, stock, note integer.
SELECT
  (SELECT coalesce(max(record_id), 0) + 1 FROM service_record)::integer AS "service",
  (SELECT coalesce(max(outage_id), 0) + 1 FROM bench_outage)::integer AS "outage",
  (SELECT coalesce(max(move_id), 0) + 1 FROM stock_move)::integer AS "stock",
  (SELECT coalesce(max(note_id), 0) + 1 FROM machine_note)::integer AS "note";
