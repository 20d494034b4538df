-- Certificates that stand no longer. Two people withdraw one: the first asks and says why, the second
-- confirms, and only then it is done, with a line in the register. An open request may be dropped; a
-- withdrawal is for good.
create table withdrawal_request (
    workshop_id blob not null,
    number text not null,
    reason text not null check (length(reason) between 10 and 500),
    asked_by blob not null,
    asked_ms integer not null,
    -- At most one is open for a certificate.
    primary key (workshop_id, number),
    foreign key (workshop_id, number) references certificate (workshop_id, number),
    foreign key (workshop_id, asked_by) references person (workshop_id, id)
) strict, without rowid;

create table withdrawal (
    workshop_id blob not null,
    number text not null,
    reason text not null check (length(reason) between 10 and 500),
    asked_by blob not null,
    confirmed_by blob not null check (confirmed_by <> asked_by),
    at_ms integer not null,
    register_idx integer not null,
    primary key (workshop_id, number),
    unique (workshop_id, register_idx),
    foreign key (workshop_id, number) references certificate (workshop_id, number),
    foreign key (workshop_id, asked_by) references person (workshop_id, id),
    foreign key (workshop_id, confirmed_by) references person (workshop_id, id),
    foreign key (workshop_id, register_idx) references register (workshop_id, idx)
) strict, without rowid;

create trigger withdrawal_is_not_changed before update on withdrawal
begin
    select raise(abort, 'a withdrawal is never edited');
end;

create trigger withdrawal_is_not_deleted before delete on withdrawal
begin
    select raise(abort, 'withdrawals are only added');
end;
