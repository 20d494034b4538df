-- What people recorded, chained by hashes over the exact bytes the device wrote. Everything but the
-- body, the salt and what the server adds is derived from the body, for looking up.
create table entry (
    workshop_id blob not null,
    job_id blob not null,
    seq integer not null check (seq between 0 and 1999),
    id blob not null check (length(id) = 16),
    sheet integer not null check (sheet >= 0),
    -- Empty where the entry is about the whole job.
    step text not null,
    kind text not null check (length(kind) between 1 and 50),
    device_id blob not null,
    person_id blob not null,
    recorded_ms integer not null,
    received_ms integer not null,
    salt blob not null check (length(salt) = 16),
    body blob not null check (length(body) between 2 and 16384),
    commitment blob not null check (length(commitment) = 32),
    prev blob not null check (length(prev) = 32),
    hash blob not null check (length(hash) = 32),
    primary key (workshop_id, job_id, seq),
    unique (workshop_id, id),
    foreign key (workshop_id, job_id) references job (workshop_id, id),
    foreign key (workshop_id, device_id) references device (workshop_id, id),
    foreign key (workshop_id, person_id) references person (workshop_id, id)
) strict, without rowid;

create trigger entry_is_not_changed before update on entry
begin
    select raise(abort, 'entries are only added');
end;

create trigger entry_is_not_deleted before delete on entry
begin
    select raise(abort, 'entries are only added');
end;
