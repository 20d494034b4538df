-- Who is signed in, and where. Only the digest of the token is kept, so that a copy of the database
-- opens no session; a row can be revoked, which a sealed cookie cannot.
-- The token comes first in the key, since it is what tells the workshop.
create table session (
    token_sha256 blob not null primary key check (length(token_sha256) = 32),
    workshop_id blob not null,
    person_id blob not null,
    device_id blob not null,
    created_ms integer not null,
    seen_ms integer not null,
    expires_ms integer not null,
    -- Null while it holds.
    revoked_ms integer,
    foreign key (workshop_id, person_id) references person (workshop_id, id),
    foreign key (workshop_id, device_id) references device (workshop_id, id)
) strict, without rowid;

create index session_by_person on session (workshop_id, person_id, created_ms);
create index session_by_device on session (workshop_id, device_id);
