-- The local days on which a span begins and ends.
-- $from, $until timestamptz, until excluded, null where there is none · $zone IANA name.
-- Gives: "fromDay", "untilDay" varchar (YYYY-MM-DD), null where there is none.
SELECT
  timezone($zone, $from::timestamptz)::date::varchar AS "fromDay",
  timezone($zone, $until::timestamptz - INTERVAL 1 SECOND)::date::varchar AS "untilDay";
