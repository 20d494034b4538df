-- Kit editions as they were imported, byte for byte. An edition never changes; one that no job uses
-- may be removed, and the foreign key of the job refuses the rest.
create table kit (
    workshop_id blob not null references workshop (id),
    id blob not null check (length(id) = 16),
    code text not null check (length(code) between 1 and 100),
    edition integer not null check (edition >= 1),
    title text not null check (length(title) between 1 and 300),
    source blob not null check (length(source) <= 1048576),
    sha256 blob not null check (length(sha256) = 32),
    imported_ms integer not null,
    imported_by blob not null,
    primary key (workshop_id, id),
    unique (workshop_id, code, edition),
    foreign key (workshop_id, imported_by) references person (workshop_id, id)
) strict;

create trigger kit_is_not_changed before update on kit
begin
    select raise(abort, 'a kit edition never changes');
end;
