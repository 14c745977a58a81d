-- Whether ids of found sessions meet. Reads found. Gives: many integer, how many ids too few.
SELECT (count(*) - count(DISTINCT session_id))::int AS many FROM found
