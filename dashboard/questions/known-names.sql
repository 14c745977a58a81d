-- Machines and groups by name: those of the workshop file, and the asked one where the log has it without a machine that claims it.
-- $asked varchar.
-- Gives: name, kind varchar (machine, group).
SELECT machine AS "name", 'machine' AS "kind" FROM machine
UNION ALL
SELECT DISTINCT group_id, 'group' FROM machine
UNION ALL
SELECT $asked, unnest(['machine', 'group'])
WHERE $asked LIKE 'station:%' AND EXISTS (SELECT 1 FROM session WHERE machine = $asked);
