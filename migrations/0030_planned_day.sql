-- On which day a job is planned, and when people are away. No part of a job's record: what was meant to be
-- done when says nothing about the vehicle, and is moved about all week.
create table planned_day (
    workshop_id blob not null,
    job_id blob not null,
    -- Null while the job has no day: its hours and its version stay.
    day text check (day like '____-__-__'),
    days integer not null check (days between 1 and 14),
    minutes integer not null check (minutes between 15 and 12000),
    -- Goes up with every move, so that nobody moves what somebody else has moved meanwhile.
    version integer not null check (version >= 1),
    primary key (workshop_id, job_id),
    foreign key (workshop_id, job_id) references job (workshop_id, id)
) strict, without rowid;

create index planned_day_by_day on planned_day (workshop_id, day);

create table away (
    workshop_id blob not null,
    person_id blob not null,
    day text not null check (day like '____-__-__'),
    primary key (workshop_id, person_id, day),
    foreign key (workshop_id, person_id) references person (workshop_id, id)
) strict, without rowid;

create index away_by_day on away (workshop_id, day);
