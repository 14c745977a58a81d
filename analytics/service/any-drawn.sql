-- Whether any end in hours_stretch was not seen: the sum over joint worlds takes long to plan.
-- Gives one row: drawn boolean.
SELECT EXISTS (FROM hours_stretch WHERE draws IS NOT NULL) AS "drawn";
