-- Notes how badges are stored.
-- $pairs JSON list of {badge, stored}.
INSERT INTO log_badge
SELECT unnest(from_json($pairs, '[{"badge": "VARCHAR", "stored": "VARCHAR"}]'), recursive := true);
