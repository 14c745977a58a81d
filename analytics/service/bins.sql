-- What stood in each stretch of thirty days when it was rolled up, and what of the workshop file went into it.
-- Gives: bin integer, mark varchar.
SELECT b.bin::integer AS "bin", b.checksum::varchar || ' ' || s.fingerprint || ' ' || s.zone AS "mark"
FROM rollup_bin AS b, rollup_state AS s;
