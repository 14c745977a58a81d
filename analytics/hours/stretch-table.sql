-- Makes the empty temporary table hours_stretch: everything that makes a machine's hours within the windows. measure: enabled, motor,
-- factored, load; feed = not counted, it only drives others. from_at, until_at are clipped (of a drawn stretch the furthest), base_at
-- is the true start, best_at the best end, draws seconds after base_at for each joint world (null = known), sessions and starts stand
-- where it begins within the window.
CREATE OR REPLACE TEMP TABLE hours_stretch (
  machine VARCHAR,
  measure VARCHAR,
  weight DOUBLE,
  from_at TIMESTAMPTZ,
  until_at TIMESTAMPTZ,
  base_at TIMESTAMPTZ,
  best_at TIMESTAMPTZ,
  draws DOUBLE[],
  badge VARCHAR,
  sessions INTEGER,
  starts INTEGER,
  window_from TIMESTAMPTZ,
  window_until TIMESTAMPTZ
);
