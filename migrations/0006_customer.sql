-- Who ordered the work. Names and contact stand here and nowhere else, so that they can be erased
-- while the sealed entries, which hold ids alone, still verify.
create table customer (
    workshop_id blob not null references workshop (id),
    id blob not null check (length(id) = 16),
    name text not null check (length(name) between 1 and 200),
    contact text not null check (length(contact) <= 500),
    address text not null check (length(address) <= 1000),
    -- The name in lower case, for searching beyond ASCII.
    search text not null,
    primary key (workshop_id, id)
) strict, without rowid;

create index customer_by_name on customer (workshop_id, name, id);
