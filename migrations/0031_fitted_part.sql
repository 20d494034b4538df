-- Batch and serial numbers that were written down of parts: which vehicles carry part X, batch Y. Derived
-- from a job's entries whenever it is folded, as results are; the entries decide, wherever they differ.
create table fitted_part (
    workshop_id blob not null,
    job_id blob not null,
    -- Of the entry.
    seq integer not null check (seq >= 0),
    name text not null,
    number text not null,
    mark text not null check (mark in ('batch', 'serial')),
    value text not null,
    carried text not null check (carried in ('yes', 'open', 'corrected', 'late')),
    recorded_ms integer not null,
    -- Letters and digits alone, in capitals: in this form number and value are looked up.
    plain_name text not null,
    plain_number text not null,
    plain_value text not null,
    primary key (workshop_id, job_id, seq),
    foreign key (workshop_id, job_id) references job (workshop_id, id)
) strict, without rowid;

create index fitted_part_by_value on fitted_part (workshop_id, plain_value);
create index fitted_part_by_time on fitted_part (workshop_id, recorded_ms, job_id, seq);

-- Has all jobs read anew, so that those from before are found too.
insert or ignore into result_due (workshop_id, job_id)
select workshop_id, id from job where entry_count > 0;
