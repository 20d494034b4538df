-- What people did that no job's chain holds: who may sign in, what instruments and kits there are, which links
-- and addresses were given out. One row for each act that was done, never changed.
create table audit (
    workshop_id blob not null references workshop (id),
    -- Counted without a gap, so that the order is that of the acts whatever the clock did.
    number integer not null check (number >= 1),
    at_ms integer not null,
    person_id blob not null,
    device_id blob not null,
    -- The act, as the table of routes names it, and the address it was done at.
    act text not null check (length(act) between 1 and 200),
    at_address text not null check (length(at_address) between 1 and 300),
    primary key (workshop_id, number),
    foreign key (workshop_id, person_id) references person (workshop_id, id),
    foreign key (workshop_id, device_id) references device (workshop_id, id)
) strict, without rowid;

create index audit_by_person on audit (workshop_id, person_id, number);
create index audit_by_act on audit (workshop_id, act, number);

create trigger audit_is_not_changed before update on audit
begin
    select raise(abort, 'what was done stays as it was');
end;

create trigger audit_is_not_deleted before delete on audit
begin
    select raise(abort, 'what was done stays');
end;
