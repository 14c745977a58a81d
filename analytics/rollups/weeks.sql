-- The local weeks that a month touches.
-- $month date.
-- Gives: from, until varchar (dates): Mondays, the last excluded.
SELECT
  date_trunc('week', $month::date)::date::varchar AS "from",
  (date_trunc('week', $month::date + INTERVAL 1 MONTH - INTERVAL 1 DAY) + INTERVAL 7 DAY)::date::varchar AS "until";
