-- The register: one line for each thing that happened to a certificate, chained by hashes, so that
-- none can be taken out or put in between afterwards.
create table register (
    workshop_id blob not null references workshop (id),
    idx integer not null check (idx >= 0),
    prev blob not null check (length(prev) = 32),
    kind text not null check (kind in ('issue', 'withdraw', 'replace', 'key', 'epoch')),
    -- Empty for lines that are not about one certificate.
    number text not null check (length(number) <= 50),
    record_sha256 blob not null check (length(record_sha256) = 32),
    pdf_sha256 blob not null check (length(pdf_sha256) = 32),
    at_ms integer not null,
    hash blob not null check (length(hash) = 32),
    primary key (workshop_id, idx)
) strict, without rowid;

create trigger register_is_not_changed before update on register
begin
    select raise(abort, 'register lines are only added');
end;

create trigger register_is_not_deleted before delete on register
begin
    select raise(abort, 'register lines are only added');
end;
