-- Stores the signs of life that have more to tell.
INSERT INTO alive_odd SELECT station, occurred_at, badge, sequence, detail, anchor, unset_stamp FROM log_alive_odd;
