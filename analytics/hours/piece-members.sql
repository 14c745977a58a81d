-- Makes the temporary table hours_member: which persons began a session within the windows, by machine and local day or hour, from
-- hours_stretch. A badge that the roster knows counts as its person (the one whose validity began last before that day), another
-- as itself.
-- $zone IANA name · $grain varchar, day or hour.
-- Gives the table: machine varchar, label timestamp, person varchar.
CREATE OR REPLACE TEMP TABLE hours_member AS
WITH used AS (
  SELECT DISTINCT machine, badge, date_trunc($grain, timezone($zone, base_at))::timestamp AS label
  FROM hours_stretch
  WHERE sessions = 1 AND badge IS NOT NULL AND measure = 'enabled'
)
SELECT DISTINCT u.machine, u.label, coalesce(h.person, 'badge:' || u.badge) AS person
FROM used u
LEFT JOIN badge_holder h ON h.badge = u.badge AND u.label::date >= h.from_day AND u.label::date < h.until_day;
