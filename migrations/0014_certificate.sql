-- Certificates as they were issued: the exact bytes of the embedded record, the digest of the file,
-- the check code printed on it. None is without its line in the register.
create table certificate (
    workshop_id blob not null,
    -- Unique on the server: whoever checks a certificate has nothing but this.
    number text not null unique
        check (length(number) between 1 and 50 and number not glob '*[^A-Za-z0-9-]*'),
    job_id blob not null,
    version integer not null check (version >= 1),
    record blob not null check (length(record) <= 4194304),
    pdf_sha256 blob not null check (length(pdf_sha256) = 32),
    code text not null check (length(code) between 1 and 50),
    issued_ms integer not null,
    register_idx integer not null,
    primary key (workshop_id, number),
    unique (workshop_id, job_id, version),
    foreign key (workshop_id, job_id) references job (workshop_id, id),
    foreign key (workshop_id, register_idx) references register (workshop_id, idx)
) strict;

create trigger certificate_is_not_changed before update on certificate
begin
    select raise(abort, 'a certificate is never edited');
end;

create trigger certificate_is_not_deleted before delete on certificate
begin
    select raise(abort, 'certificates are only added');
end;
