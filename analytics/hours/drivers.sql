-- What drives which machine, and whether other sources of hours are there at all.
-- Gives: machine, driver varchar, load, run_on_seconds double.
SELECT d.machine, d.driver, d.load, m.run_on_seconds
FROM machine_driver d
JOIN machine m ON m.machine = d.machine
ORDER BY m.ordinal, d.driver;
