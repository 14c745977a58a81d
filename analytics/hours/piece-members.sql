-- Makes the temporary table hours_member: which persons began a session within the windows, by machine and local day or hour. A
-- badge that the roster knows counts as its person (the one whose validity began last before that day), another as itself.
-- $windows varchar, JSON list of {"from","until"} · $machine varchar, null = all · $zone IANA name · $grain varchar, day or hour.
-- Gives the table: machine varchar, label timestamp, person varchar.
CREATE OR REPLACE TEMP TABLE hours_member AS
WITH span AS (
  SELECT (w->>'from')::timestamptz AS from_at, (w->>'until')::timestamptz AS until_at
  FROM (SELECT unnest($windows::json[]) AS w)
),
holder AS (
  SELECT
    badge,
    'person:' || person AS person,
    CASE WHEN row_number() OVER held = 1 THEN DATE '-infinity' ELSE valid_from END AS from_day,
    lead(valid_from, 1, DATE 'infinity') OVER held AS until_day
  FROM roster
  WINDOW held AS (PARTITION BY badge ORDER BY valid_from NULLS FIRST, valid_until, person)
),
used AS (
  SELECT DISTINCT s.machine, s.badge, date_trunc($grain, timezone($zone, s.started_at))::timestamp AS label
  FROM session s
  JOIN span w ON s.started_at >= w.from_at AND s.started_at < w.until_at
  WHERE s.badge IS NOT NULL AND ($machine::varchar IS NULL OR s.machine = $machine::varchar)
)
SELECT DISTINCT u.machine, u.label, coalesce(h.person, 'badge:' || u.badge) AS person
FROM used u
LEFT JOIN holder h ON h.badge = u.badge AND u.label::date >= h.from_day AND u.label::date < h.until_day;
