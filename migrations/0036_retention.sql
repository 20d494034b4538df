-- How long a workshop keeps what may go: months after which it goes, nothing for what is kept for good. Entries, register,
-- certificates and their photos are in none of these. And what went, line by line, so that nothing vanishes silently.
create table retention (
    workshop_id blob not null primary key references workshop (id),
    photos_months integer check (photos_months between 12 and 600),
    links_months integer check (links_months between 1 and 600),
    sessions_months integer check (sessions_months between 1 and 600)
) strict, without rowid;

create table deletion (
    workshop_id blob not null references workshop (id),
    number integer not null check (number > 0),
    at_ms integer not null,
    kind text not null check (kind in ('photos', 'links', 'sessions')),
    -- Of which job, where it is about one.
    job_number integer,
    count integer not null check (count > 0),
    -- Digests of photos, with spaces between.
    names text not null,
    primary key (workshop_id, number)
) strict, without rowid;

create trigger deletion_is_not_changed before update on deletion begin
    select raise(abort, 'what was deleted stays written down');
end;
create trigger deletion_is_not_deleted before delete on deletion begin
    select raise(abort, 'what was deleted stays written down');
end;
