-- The language of one job's papers, where its customer reads another than most: chosen by a manager. Without a row the
-- papers follow the workshop.
create table job_language (
    workshop_id blob not null,
    job_id blob not null,
    language text not null check (language in ('en', 'de')),
    primary key (workshop_id, job_id),
    foreign key (workshop_id, job_id) references job (workshop_id, id)
) strict, without rowid;
