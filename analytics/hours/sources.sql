-- Which sources of hours there are besides sessions.
-- Gives: always_on, motors, drivers integer: how many machines, motor stretches, drivers.
SELECT
  (SELECT count(*) FROM machine WHERE kind = 'always-on')::integer AS always_on,
  (SELECT count(*) FROM motor)::integer AS motors,
  (SELECT count(*) FROM machine_driver)::integer AS drivers;
