-- Measuring instruments and torque tools, and each calibration they had. A calibration that was
-- entered wrongly is followed by another one: readings were judged by what stood here.
create table instrument (
    workshop_id blob not null references workshop (id),
    id blob not null check (length(id) = 16),
    label text not null check (length(label) between 1 and 200),
    kind text not null check (length(kind) <= 200),
    serial text not null check (length(serial) <= 200),
    -- What it measures and how well: a JSON list of ranges.
    ranges text not null check (json_valid(ranges)),
    created_ms integer not null,
    -- Null while it is in use.
    retired_ms integer,
    primary key (workshop_id, id)
) strict, without rowid;

create table calibration (
    workshop_id blob not null,
    instrument_id blob not null,
    id blob not null check (length(id) = 16),
    -- Calendar dates, YYYY-MM-DD, as on the paper.
    done_on text not null check (length(done_on) = 10),
    due_on text not null check (length(due_on) = 10 and due_on >= done_on),
    certificate text not null check (length(certificate) <= 200),
    primary key (workshop_id, instrument_id, id),
    foreign key (workshop_id, instrument_id) references instrument (workshop_id, id)
) strict, without rowid;

create trigger calibration_is_not_changed before update on calibration
begin
    select raise(abort, 'calibrations are only added');
end;

create trigger calibration_is_not_deleted before delete on calibration
begin
    select raise(abort, 'calibrations are only added');
end;
