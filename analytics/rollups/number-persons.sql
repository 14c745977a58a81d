-- Gives the persons of hours_member that have none yet a number.
INSERT INTO rollup_person
SELECT person, (coalesce((SELECT max(number) FROM rollup_person), -1) + row_number() OVER (ORDER BY person))::integer
FROM (SELECT DISTINCT person FROM hours_member)
WHERE person NOT IN (SELECT person FROM rollup_person);
