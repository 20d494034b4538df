-- Instruments that were found to have read wrongly: from which day on no reading counts. A recall is never
-- taken back; a calibration that came after the finding ends it.
create table instrument_recall (
    workshop_id blob not null,
    instrument_id blob not null,
    id blob not null check (length(id) = 16),
    -- Calendar dates, YYYY-MM-DD.
    from_day text not null check (length(from_day) = 10),
    found_on text not null check (length(found_on) = 10 and found_on >= from_day),
    -- Calibrations of the day it was found that came before the finding: a JSON list of ids.
    doubted text not null check (json_valid(doubted)),
    reason text not null check (length(reason) between 1 and 500),
    -- How far it was off, as typed. Null where nobody measured that.
    off_percent text,
    off_digits integer check (off_digits >= 0),
    noted_ms integer not null,
    -- Null where it came along with a job from elsewhere.
    noted_by blob,
    primary key (workshop_id, instrument_id, id),
    check ((off_percent is null) = (off_digits is null)),
    foreign key (workshop_id, instrument_id) references instrument (workshop_id, id),
    foreign key (workshop_id, noted_by) references person (workshop_id, id)
) strict, without rowid;

create trigger instrument_recall_is_not_changed before update on instrument_recall
begin
    select raise(abort, 'recalls are only added');
end;

create trigger instrument_recall_is_not_deleted before delete on instrument_recall
begin
    select raise(abort, 'recalls are only added');
end;
