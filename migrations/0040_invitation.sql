-- Links by which somebody becomes one of the workshop's people and chooses their own password: good once, for some
-- days, for a few tries. The link holds 256 bits of chance, the record only their digest.
create table invitation (
    workshop_id blob not null,
    id blob not null check (length(id) = 16),
    -- For whom, in the words of whoever invited; they write their own name.
    name text not null check (length(name) <= 200),
    role text not null check (role in ('technician', 'manager', 'owner')),
    token_sha256 blob not null unique check (length(token_sha256) = 32),
    made_by blob not null,
    made_ms integer not null,
    expires_ms integer not null check (expires_ms > made_ms),
    -- Forms that were sent with it and could not be taken.
    tries integer not null default 0 check (tries >= 0),
    -- Null while it may be used.
    revoked_ms integer,
    used_ms integer,
    -- Who came by it. Null until then.
    used_by blob,
    primary key (workshop_id, id),
    check ((used_ms is null) = (used_by is null)),
    foreign key (workshop_id, made_by) references person (workshop_id, id),
    foreign key (workshop_id, used_by) references person (workshop_id, id)
) strict, without rowid;

create index invitation_by_time on invitation (workshop_id, expires_ms);
