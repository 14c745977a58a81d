-- Writes the rows of a Parquet file as JSON, one a line.
-- $path of the file, $target of the lines: both in the work folder.
COPY (SELECT * FROM read_parquet($path)) TO $target (FORMAT json);
