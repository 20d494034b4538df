-- Phones that people share are enrolled: the browser holds a secret, the record only its digest, so that
-- a copied id alone is not the phone. A revoked one stays, because entries name it. Beside that, what
-- a phone last said about itself.
-- Null while the device is not enrolled.
alter table device add column secret_sha256 blob check (length(secret_sha256) = 32);
alter table device add column enrolled_ms integer;
-- Null while it may be used.
alter table device add column revoked_ms integer;
-- Null until the phone has sent its entries for the first time.
alter table device add column heard_ms integer;
alter table device add column waiting integer check (waiting >= 0);
-- How far its clock is ahead of the server's. Null where it did not say.
alter table device add column clock_off_ms integer;

-- A code that enrols one phone: one for each who makes them, so that nothing piles up. The link holds
-- 128 bits that nobody guesses; tries count against the short code, which people type.
create table enrol_code (
    workshop_id blob not null,
    made_by blob not null,
    link_sha256 blob not null check (length(link_sha256) = 32),
    typed_sha256 blob not null check (length(typed_sha256) = 32),
    expires_ms integer not null,
    tries integer not null check (tries >= 0),
    primary key (workshop_id, made_by),
    foreign key (workshop_id, made_by) references person (workshop_id, id)
) strict, without rowid;
