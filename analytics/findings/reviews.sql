-- What was last said of each finding that anybody reviewed.
-- $as_of timestamptz: later reviews are not known yet; null = all are.
-- Gives: "findingId", state, note, by, rule, severity, machine, "group", station, badge varchar, "enteredAt", "from", "until"
-- timestamptz, figures varchar (JSON).
SELECT
  finding_id AS "findingId",
  state,
  note,
  reviewed_by AS by,
  rule,
  severity,
  machine,
  group_id AS "group",
  station,
  badge,
  entered_at AS "enteredAt",
  from_at AS "from",
  until_at AS "until",
  figures
FROM finding_review
WHERE $as_of::timestamptz IS NULL OR entered_at <= $as_of::timestamptz
QUALIFY row_number() OVER (PARTITION BY finding_id ORDER BY review_id DESC) = 1
ORDER BY review_id;
