-- Jobs that measure again what an earlier job fitted. Each names the job and the certificate that it starts
-- from, and the job that the line of them began with, so that a whole line is found at once. And the
-- vehicle itself, as far as it is known: the registration and the end of the identification number,
-- closed up and in capitals, under which all jobs of one vehicle are found.
create table reinspection (
    workshop_id blob not null,
    job_id blob not null,
    earlier_job_id blob not null check (earlier_job_id <> job_id),
    -- The number of the certificate that was in force then.
    certificate text not null,
    first_job_id blob not null check (first_job_id <> job_id),
    primary key (workshop_id, job_id),
    foreign key (workshop_id, job_id) references job (workshop_id, id),
    foreign key (workshop_id, earlier_job_id) references job (workshop_id, id),
    foreign key (workshop_id, first_job_id) references job (workshop_id, id),
    foreign key (workshop_id, certificate) references certificate (workshop_id, number)
) strict, without rowid;

create index reinspection_by_first on reinspection (workshop_id, first_job_id);

create trigger reinspection_is_not_changed before update on reinspection
begin
    select raise(abort, 'what a job measures again never changes');
end;

create trigger reinspection_is_not_deleted before delete on reinspection
begin
    select raise(abort, 'what a job measures again stays');
end;

alter table job add column plate text not null default '' check (length(plate) <= 50);
alter table job add column vin text not null default '' check (length(vin) <= 50);

-- Jobs that are there: capitals as far as the database knows them.
update job set plate = upper(replace(replace(replace(replace(
    replace(replace(replace(registration, 'ä', 'Ä'), 'ö', 'Ö'), 'ü', 'Ü'), ' ', ''), '-', ''), '.', ''), char(9), ''));
-- What was planned stands in certificates alone where the database can read it.
update job set vin = coalesce((
    select upper(replace(replace(coalesce(json_extract(cast(c.record as text), '$.vehicle.vin_tail'), ''), ' ', ''), '-', ''))
    from certificate c where c.workshop_id = job.workshop_id and c.job_id = job.id
        and json_valid(cast(c.record as text))
    order by c.version desc limit 1), '');

create index job_by_plate on job (workshop_id, plate);
create index job_by_vin on job (workshop_id, vin);
-- What is due, by the day of its certificate.
create index certificate_by_issue on certificate (workshop_id, issued_ms, number);
