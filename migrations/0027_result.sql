-- What trends are drawn from: every counted result of a step, and when a job was opened, submitted and
-- released. Derived from a job's entries whenever it is folded, so that a question about a year reads no
-- chain; the entries decide, wherever they differ.
create table result (
    workshop_id blob not null,
    job_id blob not null,
    step text not null,
    -- From 1, in the order they were recorded.
    nth integer not null check (nth >= 1),
    kit_code text not null,
    title text not null,
    -- Of a path measured under load.
    circuit text,
    kind text not null,
    figure text,
    unit text,
    planned text,
    verdict text not null,
    person_id blob not null,
    instrument_id blob,
    other_instrument_id blob,
    recorded_ms integer not null,
    primary key (workshop_id, job_id, step, nth),
    foreign key (workshop_id, job_id) references job (workshop_id, id)
) strict, without rowid;

create index result_by_time on result (workshop_id, recorded_ms);
create index result_by_kit on result (workshop_id, kit_code, recorded_ms);

create table job_course (
    workshop_id blob not null,
    job_id blob not null,
    submitted_ms integer,
    released_ms integer,
    primary key (workshop_id, job_id),
    foreign key (workshop_id, job_id) references job (workshop_id, id)
) strict, without rowid;

create index job_course_by_release on job_course (workshop_id, released_ms);

-- Jobs whose rows are to be derived anew, in the background: all that there were before. A rule that changes
-- puts all jobs in here.
create table result_due (
    workshop_id blob not null,
    job_id blob not null,
    primary key (workshop_id, job_id),
    foreign key (workshop_id, job_id) references job (workshop_id, id)
) strict, without rowid;

insert into result_due (workshop_id, job_id) select workshop_id, id from job where entry_count > 0;
