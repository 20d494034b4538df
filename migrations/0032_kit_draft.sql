-- Kit files that somebody is writing and that are no edition yet: what was typed outlives a closed page.
create table kit_draft (
    workshop_id blob not null,
    person_id blob not null,
    -- The edition it began as, or 16 zero bytes for a new kit.
    about blob not null check (length(about) = 16),
    text text not null check (length(text) <= 524288),
    kept_ms integer not null,
    primary key (workshop_id, person_id, about),
    foreign key (workshop_id, person_id) references person (workshop_id, id)
) strict, without rowid;
