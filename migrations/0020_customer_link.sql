-- Links that show a customer the handover of their job without an account. The link holds 256 bits of
-- chance, the record only their digest. A link belongs to the job and not to one certificate: after a
-- replacement it shows the newer one, after a withdrawal it says so.
create table customer_link (
    workshop_id blob not null,
    id blob not null check (length(id) = 16),
    job_id blob not null,
    token_sha256 blob not null unique check (length(token_sha256) = 32),
    made_by blob not null,
    made_ms integer not null,
    expires_ms integer not null check (expires_ms > made_ms),
    -- Null while it may be used.
    revoked_ms integer,
    revoked_by blob,
    opened integer not null default 0 check (opened >= 0),
    -- Null until it was opened for the first time.
    opened_ms integer,
    primary key (workshop_id, id),
    check ((revoked_ms is null) = (revoked_by is null)),
    foreign key (workshop_id, job_id) references job (workshop_id, id),
    foreign key (workshop_id, made_by) references person (workshop_id, id),
    foreign key (workshop_id, revoked_by) references person (workshop_id, id)
) strict;

create index customer_link_by_job on customer_link (workshop_id, job_id, made_ms);
