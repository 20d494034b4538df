-- The papers of calibrations as files, each under the digest of its bytes. Several may belong to one calibration:
-- a better scan stands beside the first one and replaces nothing.
create table calibration_file (
    workshop_id blob not null,
    instrument_id blob not null,
    calibration_id blob not null,
    sha256 blob not null check (length(sha256) = 32),
    -- What its content was found to be: pdf, png or jpg.
    kind text not null check (kind in ('pdf', 'png', 'jpg')),
    bytes integer not null check (bytes > 0),
    received_ms integer not null,
    received_by blob not null,
    primary key (workshop_id, instrument_id, calibration_id, sha256),
    foreign key (workshop_id, instrument_id, calibration_id)
        references calibration (workshop_id, instrument_id, id),
    foreign key (workshop_id, received_by) references person (workshop_id, id)
) strict, without rowid;

create trigger calibration_file_is_not_changed before update on calibration_file
begin
    select raise(abort, 'files of calibrations are only added');
end;

create trigger calibration_file_is_not_deleted before delete on calibration_file
begin
    select raise(abort, 'files of calibrations are only added');
end;
