-- The next number of a review and of a hold.
-- Gives: review, hold integer.
SELECT
  (SELECT coalesce(max(review_id), 0) + 1 FROM finding_review)::integer AS review,
  (SELECT coalesce(max(hold_id), 0) + 1 FROM incident_hold)::integer AS hold;
