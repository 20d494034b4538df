-- A seal that takes the place of another: both certificates, and the same text signed with the key of the
-- one before and with the new one, so that anybody can check that the new one was authorised.
create table seal_change (
    workshop_id blob not null,
    -- Its line, of kind `key`.
    register_idx integer not null,
    -- X.509, DER. Certificates that were sealed with the old one stay verifiable with it.
    old_certificate blob not null check (length(old_certificate) between 1 and 16384),
    new_certificate blob not null check (length(new_certificate) between 1 and 16384),
    old_signature blob not null check (length(old_signature) between 1 and 1024),
    new_signature blob not null check (length(new_signature) between 1 and 1024),
    primary key (workshop_id, register_idx),
    foreign key (workshop_id, register_idx) references register (workshop_id, idx)
) strict, without rowid;

create trigger seal_change_is_not_changed before update on seal_change
begin
    select raise(abort, 'a change of the seal is never edited');
end;

create trigger seal_change_is_not_deleted before delete on seal_change
begin
    select raise(abort, 'changes of the seal are only added');
end;
