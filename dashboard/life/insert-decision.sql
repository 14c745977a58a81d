-- Adds a decision.
-- $machine, $part, $task varchar · $at timestamptz · $choice, $unit varchar · $every, $factor, $suggested, $cost, $cost_set double ·
-- $note, $by, $who varchar.
INSERT INTO life_decision
SELECT
  coalesce(max(decision_id), 0) + 1,
  $machine,
  $part,
  $task,
  $at::timestamptz,
  $choice,
  $unit,
  $every,
  $factor,
  $suggested,
  $cost,
  $cost_set,
  $note,
  $by,
  $who
FROM life_decision;
