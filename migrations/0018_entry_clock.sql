-- How far the phone's clock was ahead of the server's when it sent an entry, below zero where it was
-- behind. The server's own remark for whoever reviews: no part of the hash, which is over what the
-- device wrote and the server promised. Null where the phone did not say, and for all entries before.
alter table entry add column clock_ahead_ms integer;
