-- Plan editions as they were saved, byte for byte: entries commit to their digests.
create table plan (
    workshop_id blob not null,
    job_id blob not null,
    edition integer not null check (edition between 1 and 1000),
    source blob not null check (length(source) <= 1048576),
    sha256 blob not null check (length(sha256) = 32),
    saved_ms integer not null,
    saved_by blob not null,
    primary key (workshop_id, job_id, edition),
    foreign key (workshop_id, job_id) references job (workshop_id, id),
    foreign key (workshop_id, saved_by) references person (workshop_id, id)
) strict;

create trigger plan_is_not_changed before update on plan
begin
    select raise(abort, 'a plan edition never changes');
end;

create trigger plan_is_not_deleted before delete on plan
begin
    select raise(abort, 'plan editions are only added');
end;
