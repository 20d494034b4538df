-- Failed sign-ins by name and by address. Kept here and not in memory, so that a restart gives no
-- fresh guesses, and raised before the password is hashed, so that two at once both count.
create table sign_in_failure (
    workshop_id blob not null references workshop (id),
    kind text not null check (kind in ('sign_in', 'address')),
    subject text not null check (length(subject) <= 200),
    window_ms integer not null,
    in_window integer not null check (in_window >= 0),
    in_a_row integer not null check (in_a_row >= 0),
    primary key (workshop_id, kind, subject)
) strict, without rowid;

create index sign_in_failure_by_age on sign_in_failure (workshop_id, window_ms);
