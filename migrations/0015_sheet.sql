-- Sheet editions as they were made: a later version of the program must not remake them otherwise.
create table sheet (
    workshop_id blob not null,
    job_id blob not null,
    edition integer not null check (edition between 1 and 1000),
    body text not null check (json_valid(body) and length(body) <= 1048576),
    made_ms integer not null,
    primary key (workshop_id, job_id, edition),
    foreign key (workshop_id, job_id) references job (workshop_id, id)
) strict;

create trigger sheet_is_not_changed before update on sheet
begin
    select raise(abort, 'a sheet edition never changes');
end;

create trigger sheet_is_not_deleted before delete on sheet
begin
    select raise(abort, 'sheet editions are only added');
end;
