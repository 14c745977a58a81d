-- How wide windows should have been, as last worked out by a local day.
-- $today date · $oldest date: what is older says nothing of today.
-- Gives: machine varchar (null = all), daysAhead integer (null = one machine's), windows integer, factor double.
SELECT machine AS "machine", days_ahead AS "daysAhead", windows AS "windows", factor AS "factor"
FROM forecast_width
WHERE as_of_day = (SELECT max(as_of_day) FROM forecast_width WHERE as_of_day BETWEEN $oldest::date AND $today::date);
