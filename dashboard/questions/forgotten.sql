-- Badges whose holders were forgotten, and what stands in for them.
-- Gives: mark varchar, stand_in varchar.
SELECT mark, stand_in FROM forgotten ORDER BY forgotten_at, mark;
