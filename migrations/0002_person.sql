-- Somebody who works in the workshop. Never deleted, because entries name them: only disabled.
create table person (
    workshop_id blob not null references workshop (id),
    id blob not null check (length(id) = 16),
    name text not null check (length(name) between 1 and 200),
    sign_in text not null check (length(sign_in) between 1 and 200),
    role text not null check (role in ('technician', 'manager', 'owner')),
    password_hash text not null check (length(password_hash) between 1 and 500),
    created_ms integer not null,
    -- Null while they may sign in.
    disabled_ms integer,
    primary key (workshop_id, id),
    unique (workshop_id, sign_in)
) strict, without rowid;
