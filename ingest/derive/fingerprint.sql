-- What of the workshop file sessions depend on. Reads machine_station, machine. Gives: fingerprint varchar.
SELECT md5(concat(
  (SELECT string_agg(concat_ws('|', machine, station, from_at, until_at), ';' ORDER BY machine, station, from_at) FROM machine_station), '#',
  (SELECT string_agg(concat_ws('|', machine, group_id), ';' ORDER BY machine) FROM machine))) AS fingerprint
