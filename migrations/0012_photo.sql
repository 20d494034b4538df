-- Photos by the digest of what the device sent, which is what entries name. The file that is kept
-- was written anew by the server (turned, shrunk, without metadata) and has a digest of its own.
create table photo (
    workshop_id blob not null references workshop (id),
    sha256 blob not null check (length(sha256) = 32),
    stored_sha256 blob not null check (length(stored_sha256) = 32),
    bytes integer not null check (bytes > 0),
    width integer not null check (width > 0),
    height integer not null check (height > 0),
    received_ms integer not null,
    received_by blob not null,
    primary key (workshop_id, sha256),
    foreign key (workshop_id, received_by) references person (workshop_id, id)
) strict, without rowid;
