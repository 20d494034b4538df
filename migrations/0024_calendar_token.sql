-- The secret address of a manager's calendar of due dates: whoever has it reads vehicles and dates without
-- signing in. Only its digest is kept; one for each manager, and a new one takes the place of the old.
create table calendar_token (
    workshop_id blob not null,
    person_id blob not null,
    secret_sha256 blob not null unique check (length(secret_sha256) = 32),
    made_ms integer not null,
    primary key (workshop_id, person_id),
    foreign key (workshop_id, person_id) references person (workshop_id, id)
) strict, without rowid;
