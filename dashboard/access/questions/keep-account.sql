-- Writes one account, new or known.
-- $name, $roles, $password, $factor, $paper_codes varchar · $factor_step integer · $password_at, $made_at timestamptz.
INSERT OR REPLACE INTO account (name, roles, password, password_at, factor, factor_step, paper_codes, made_at)
VALUES ($name, $roles, $password, $password_at::timestamptz, $factor, $factor_step::bigint, $paper_codes, $made_at::timestamptz);
