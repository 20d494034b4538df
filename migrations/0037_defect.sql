-- What is wrong across jobs, as a list reads it: derived from a job's entries whenever it is folded, like its
-- results; the entries decide, wherever they differ. Who looks after a defect is no part of the record of the
-- vehicle and changes with the week, as a job's technician does, so it is a row of its own and no entry.
create table defect (
    workshop_id blob not null,
    -- Of the entry that opened it.
    id blob not null check (length(id) = 16),
    job_id blob not null,
    kit_code text not null,
    -- Empty, and number 0, where it is about the job as a whole.
    step text not null,
    step_number integer not null check (step_number >= 0),
    title text not null,
    wrong text not null,
    -- Opened by a manager, and not by a failing result.
    is_raised integer not null check (is_raised in (0, 1)),
    -- What it waits for.
    wants text not null check (length(wants) between 1 and 50),
    opened_ms integer not null,
    opened_by blob not null,
    closed_ms integer,
    is_open integer not null check (is_open = (closed_ms is null)),
    -- Whoever it is assigned to, else the technician of its job.
    person_id blob,
    primary key (workshop_id, id),
    foreign key (workshop_id, job_id) references job (workshop_id, id)
) strict, without rowid;

create index defect_by_job on defect (workshop_id, job_id);
create index defect_by_time on defect (workshop_id, is_open, opened_ms, id);
create index defect_by_person on defect (workshop_id, is_open, person_id, opened_ms, id);
create index defect_by_kit on defect (workshop_id, is_open, kit_code, opened_ms, id);

create table defect_assignment (
    workshop_id blob not null,
    defect_id blob not null,
    person_id blob not null,
    assigned_ms integer not null,
    assigned_by blob not null,
    primary key (workshop_id, defect_id),
    foreign key (workshop_id, defect_id) references entry (workshop_id, id),
    foreign key (workshop_id, person_id) references person (workshop_id, id),
    foreign key (workshop_id, assigned_by) references person (workshop_id, id)
) strict, without rowid;

-- All jobs are read anew in the background, for the defects of those from before.
insert or ignore into result_due (workshop_id, job_id)
select workshop_id, id from job where entry_count > 0;
