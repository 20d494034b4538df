-- Which day a job is planned for, and who is away when: what the board shows. Whoever does the job stands in the
-- job's own row. Planning is no part of a job's record: it changes with the weather, and nothing is proved by it.
create table job_day (
    workshop_id blob not null,
    job_id blob not null,
    -- `2026-11-25`; null where a job was taken off the board again.
    day text check (day is null or length(day) = 10),
    minutes integer not null check (minutes between 15 and 1440),
    -- Counts changes, so that nobody moves what somebody else has moved meanwhile.
    version integer not null check (version >= 1),
    primary key (workshop_id, job_id),
    foreign key (workshop_id, job_id) references job (workshop_id, id)
) strict, without rowid;

create index job_day_by_day on job_day (workshop_id, day, job_id) where day is not null;

create table away (
    workshop_id blob not null,
    day text not null check (length(day) = 10),
    person_id blob not null,
    primary key (workshop_id, day, person_id),
    foreign key (workshop_id, person_id) references person (workshop_id, id)
) strict, without rowid;
