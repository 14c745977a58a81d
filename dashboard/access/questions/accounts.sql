-- Every account, by name.
-- Gives: name, roles varchar (JSON list), password varchar, password_at timestamptz, factor varchar, factor_step integer,
-- paper_codes varchar (JSON list), made_at timestamptz, last_seen timestamptz (null: no visit that still stands).
SELECT
  a.name,
  a.roles,
  a.password,
  a.password_at,
  a.factor,
  a.factor_step::integer AS factor_step,
  a.paper_codes,
  a.made_at,
  (SELECT max(v.seen_at) FROM visit v WHERE v.account = a.name) AS last_seen
FROM account a
ORDER BY a.name;
