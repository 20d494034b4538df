-- Which jobs came here as an archive from elsewhere. The register's lines up to then came along as links of the
-- chain: those of other jobs have no certificate here, and what happened there afterwards is not known here.
create table archive_import (
    workshop_id blob not null,
    job_id blob not null,
    register_lines integer not null check (register_lines >= 0),
    imported_ms integer not null,
    primary key (workshop_id, job_id),
    foreign key (workshop_id, job_id) references job (workshop_id, id)
) strict, without rowid;

create trigger archive_import_is_not_changed before update on archive_import
begin
    select raise(abort, 'what came from elsewhere stays so');
end;

create trigger archive_import_is_not_deleted before delete on archive_import
begin
    select raise(abort, 'what came from elsewhere stays so');
end;
