-- The business that answers for the work. Every other table belongs to one, and its id stands first
-- in each key, so that one server can hold several without any query reaching across.
create table workshop (
    id blob not null primary key check (length(id) = 16),
    name text not null check (length(name) between 1 and 200),
    address text not null check (length(address) <= 1000),
    phone text not null check (length(phone) <= 100),
    email text not null check (length(email) <= 200),
    -- Begins each certificate number. Unique on the server: a number alone must find its certificate.
    certificate_prefix text not null unique
        check (length(certificate_prefix) between 2 and 4 and certificate_prefix not glob '*[^A-Z]*'),
    place text not null check (length(place) <= 200),
    -- Whether whoever did the work may also release it; the certificate then says so.
    one_person_release integer not null default 0 check (one_person_release in (0, 1)),
    -- Decimal text, so that the limit is printed as it was typed.
    insulation_least_megohm text not null check (length(insulation_least_megohm) between 1 and 30),
    created_ms integer not null
) strict, without rowid;
