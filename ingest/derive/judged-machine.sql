-- The machines with sessions to be judged. Reads unseen. Makes judged_machine: machine.
CREATE OR REPLACE TEMP TABLE judged_machine AS SELECT DISTINCT machine FROM unseen
