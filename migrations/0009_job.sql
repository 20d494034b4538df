-- One kit edition fitted to one vehicle for one customer. The columns from stage on are derived from
-- the job's entries, so that lists need not read those; the entries decide, wherever they differ.
create table job (
    workshop_id blob not null references workshop (id),
    id blob not null check (length(id) = 16),
    number integer not null check (number >= 1),
    customer_id blob not null,
    kit_id blob not null,
    vehicle text not null check (length(vehicle) between 1 and 300),
    registration text not null check (length(registration) <= 50),
    -- Null while nobody is assigned.
    technician_id blob,
    opened_ms integer not null,
    opened_by blob not null,
    -- Number, vehicle and registration in lower case, for searching beyond ASCII.
    search text not null,
    stage text not null check (length(stage) between 1 and 50),
    steps_total integer not null default 0 check (steps_total >= 0),
    steps_done integer not null default 0 check (steps_done between 0 and steps_total),
    -- Marks of the tape in lists: a letter a step, a bar between phases.
    flags text not null default '' check (length(flags) <= 2000),
    entry_count integer not null default 0 check (entry_count >= 0),
    updated_ms integer not null,
    primary key (workshop_id, id),
    unique (workshop_id, number),
    foreign key (workshop_id, customer_id) references customer (workshop_id, id),
    foreign key (workshop_id, kit_id) references kit (workshop_id, id),
    foreign key (workshop_id, technician_id) references person (workshop_id, id),
    foreign key (workshop_id, opened_by) references person (workshop_id, id)
) strict, without rowid;

create index job_by_change on job (workshop_id, updated_ms, id);
create index job_by_stage on job (workshop_id, stage, updated_ms, id);
create index job_by_technician on job (workshop_id, technician_id, updated_ms, id);
create index job_by_customer on job (workshop_id, customer_id);
create index job_by_kit on job (workshop_id, kit_id);
