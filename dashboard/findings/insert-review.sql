-- Adds what somebody said of a finding, with what the finding was then.
-- $review_id integer · $finding_id, $state, $note, $by varchar · $at timestamptz · $rule, $severity varchar · $machine, $group,
-- $station, $badge varchar or null · $from, $until timestamptz · $figures JSON object.
INSERT INTO finding_review (
  review_id, finding_id, state, note, reviewed_by, entered_at, rule, severity, machine, group_id, station, badge, from_at, until_at, figures
)
VALUES (
  $review_id, $finding_id, $state, $note, $by, $at::timestamptz, $rule, $severity, $machine, $group, $station, $badge,
  $from::timestamptz, $until::timestamptz, $figures
);
