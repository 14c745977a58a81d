-- How many seen sessions a machine now has. $machine varchar, $sessions varchar (a whole number). Updates machine_length.
UPDATE machine_length SET sessions = $sessions::bigint WHERE machine = $machine::varchar
