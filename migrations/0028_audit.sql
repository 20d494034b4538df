-- What people did that no job's chain holds: who may sign in, what instruments and kits there are, which links
-- and addresses were given out. One row for each act that was done, never changed.
create table audit (
    workshop_id blob not null references workshop (id),
    -- Made with the row, so that the order of ids is that of the acts.
    id blob not null check (length(id) = 16),
    at_ms integer not null,
    person_id blob not null,
    device_id blob not null,
    -- The act, as the table of routes names it, and the address it was done at.
    act text not null check (length(act) between 1 and 200),
    at_address text not null check (length(at_address) between 1 and 300),
    primary key (workshop_id, id),
    foreign key (workshop_id, person_id) references person (workshop_id, id),
    foreign key (workshop_id, device_id) references device (workshop_id, id)
) strict, without rowid;

create index audit_by_person on audit (workshop_id, person_id, id);
create index audit_by_act on audit (workshop_id, act, id);

create trigger audit_is_not_changed before update on audit
begin
    select raise(abort, 'what was done stays as it was');
end;

create trigger audit_is_not_deleted before delete on audit
begin
    select raise(abort, 'what was done stays');
end;
