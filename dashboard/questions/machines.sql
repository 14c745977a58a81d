-- Every machine of the workshop file in its order, then the stations that no machine claims but the log knows.
-- Gives: machine, name, "group", room, hazard, kind varchar, stations varchar (JSON list), "from", "until" timestamptz, claimed bool.
WITH claimed AS (
  SELECT
    m.machine,
    m.name,
    m.group_id,
    m.room,
    m.hazard,
    m.kind,
    (SELECT to_json(coalesce(list(DISTINCT s.station ORDER BY s.station), [])) FROM machine_station AS s WHERE s.machine = m.machine) AS stations,
    m.from_at,
    m.until_at,
    true AS claimed,
    m.ordinal
  FROM machine AS m
), unclaimed AS (
  SELECT
    machine,
    machine AS name,
    machine AS group_id,
    NULL AS room,
    'medium' AS hazard,
    'stations' AS kind,
    to_json(list(DISTINCT station ORDER BY station)) AS stations,
    min(started_at) AS from_at,
    NULL::timestamptz AS until_at,
    false AS claimed,
    1000000 AS ordinal
  FROM session
  WHERE machine LIKE 'station:%'
  GROUP BY machine
)
SELECT
  machine AS "machine",
  name AS "name",
  group_id AS "group",
  room AS "room",
  hazard AS "hazard",
  kind AS "kind",
  stations::varchar AS "stations",
  from_at AS "from",
  until_at AS "until",
  claimed AS "claimed"
FROM (SELECT * FROM claimed UNION ALL SELECT * FROM unclaimed)
ORDER BY ordinal, machine;
