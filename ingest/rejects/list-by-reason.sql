-- The rejects grouped by reason, values at fault left out.
-- Gives: reason, field varchar, rejects double, files double, first_file varchar, first_line double.
SELECT regexp_replace(reason, '"[^"]*"', '…') AS reason, field, count(*)::DOUBLE AS rejects, count(DISTINCT file)::DOUBLE AS files,
  arg_min(file, (file, line)) AS first_file, arg_min(line, (file, line))::DOUBLE AS first_line
FROM reject GROUP BY ALL ORDER BY rejects DESC, reason;
