-- A phone, tablet or desktop browser. It names itself when it is first seen; entries name it.
create table device (
    workshop_id blob not null references workshop (id),
    id blob not null check (length(id) = 16),
    first_seen_ms integer not null,
    label text not null check (length(label) <= 200),
    primary key (workshop_id, id)
) strict, without rowid;
