-- Writes what drives which machine.
-- $rows JSON list of {machine, driver, load}.
INSERT INTO machine_driver BY NAME
SELECT unnest(from_json_strict($rows, '[{"machine":"VARCHAR","driver":"VARCHAR","load":"DOUBLE"}]'), max_depth := 2)
