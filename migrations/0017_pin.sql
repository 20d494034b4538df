-- The PIN by which a technician takes over an enrolled phone: issued and never chosen. Its slow hash is
-- over a keyed digest whose key lies outside of the database, because six digits are soon tried.
create table pin (
    workshop_id blob not null,
    person_id blob not null,
    hash text not null check (length(hash) between 1 and 500),
    issued_ms integer not null,
    issued_by blob not null,
    primary key (workshop_id, person_id),
    foreign key (workshop_id, person_id) references person (workshop_id, id),
    foreign key (workshop_id, issued_by) references person (workshop_id, id)
) strict, without rowid;

-- Wrong PINs in a row, by phone and person. Raised before anything is hashed, so that two at once both
-- count. Whoever is asked for need not exist: that would tell who does.
create table pin_failure (
    workshop_id blob not null,
    device_id blob not null,
    person_id blob not null check (length(person_id) = 16),
    in_a_row integer not null check (in_a_row >= 0),
    last_ms integer not null,
    primary key (workshop_id, device_id, person_id),
    foreign key (workshop_id, device_id) references device (workshop_id, id)
) strict, without rowid;

-- Wrong PINs on a phone, whoever they were typed for, in the hour that begins with the first.
create table pin_hour (
    workshop_id blob not null,
    device_id blob not null,
    begun_ms integer not null,
    failures integer not null check (failures >= 0),
    primary key (workshop_id, device_id),
    foreign key (workshop_id, device_id) references device (workshop_id, id)
) strict, without rowid;
