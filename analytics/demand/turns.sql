-- Makes the temporary table demand_turn: one person's sessions on one unit with pauses under the given minutes in which nobody else
-- took it, by their best ends. A badge that the roster knows counts as its person (the one whose validity began last before the
-- session), another as itself, a session without badge as somebody of its own. A maintainer's turn takes the unit but is no wish.
-- $from, $until timestamptz: the span · $as_of timestamptz · $zone IANA name · $pause_minutes double.
-- Gives the table: turn integer, group_id, machine, person varchar, is_wish boolean, started_at, ended_at timestamptz, use_seconds
-- double (of its sessions), sessions integer. Turns that began before the span and reach into it are in it too.
CREATE OR REPLACE TEMP TABLE demand_turn AS
WITH known AS MATERIALIZED (
  SELECT
    s.session_id,
    s.machine,
    m.group_id,
    s.badge,
    s.started_at,
    greatest(s.started_at, least(coalesce(s.ended_at, s.end_best), $as_of::timestamptz)) AS ended_at,
    timezone($zone, s.started_at)::date AS day
  FROM session s
  JOIN machine m ON m.machine = s.machine AND m.kind = 'stations'
  WHERE s.started_at < $until::timestamptz AND s.end_high > $from::timestamptz - INTERVAL 1 DAY
),
named AS MATERIALIZED (
  SELECT
    k.*,
    coalesce(h.person, 'badge:' || k.badge, 'session:' || k.session_id) AS person,
    coalesce(h.is_maintainer, false) AS is_maintainer
  FROM known k
  LEFT JOIN badge_holder h ON h.badge = k.badge AND k.day >= h.from_day AND k.day < h.until_day
),
following AS (
  SELECT
    *,
    CASE
      WHEN person = lag(person) OVER unit_order
        AND epoch_us(started_at) - epoch_us(max(ended_at) OVER before) < $pause_minutes * 6e7 THEN 0
      ELSE 1
    END AS is_new
  FROM named
  WINDOW unit_order AS (PARTITION BY machine ORDER BY started_at, session_id),
    before AS (PARTITION BY machine ORDER BY started_at, session_id ROWS BETWEEN UNBOUNDED PRECEDING AND 1 PRECEDING)
),
numbered AS (
  SELECT *, sum(is_new) OVER (PARTITION BY machine ORDER BY started_at, session_id ROWS UNBOUNDED PRECEDING) AS run
  FROM following
)
SELECT
  row_number() OVER (ORDER BY min(started_at), machine)::integer AS turn,
  any_value(group_id) AS group_id,
  machine,
  any_value(person) AS person,
  NOT bool_or(is_maintainer) AS is_wish,
  min(started_at) AS started_at,
  max(ended_at) AS ended_at,
  sum(epoch_us(ended_at) - epoch_us(started_at))::double / 1e6 AS use_seconds,
  count(*)::integer AS sessions
FROM numbered
GROUP BY machine, run;
