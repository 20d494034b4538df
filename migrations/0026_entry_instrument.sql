-- Which readings were taken with an instrument: looked up when one turns out to have read wrongly. Derived
-- from the bodies of entries, by the database itself, so that no way of adding an entry can forget it.
create table entry_instrument (
    workshop_id blob not null,
    instrument_id blob not null,
    recorded_ms integer not null,
    job_id blob not null,
    seq integer not null,
    primary key (workshop_id, instrument_id, recorded_ms, job_id, seq),
    foreign key (workshop_id, job_id, seq) references entry (workshop_id, job_id, seq)
) strict, without rowid;

create trigger entry_names_its_instruments after insert on entry
begin
    insert or ignore into entry_instrument (workshop_id, instrument_id, recorded_ms, job_id, seq)
    select new.workshop_id, unhex(replace(named.value, '-', '')), new.recorded_ms, new.job_id, new.seq
    from json_each(iif(json_valid(cast(new.body as text)), cast(new.body as text), '{}')) named
    where named.key in ('instrument', 'current_instrument', 'thermometer')
        and length(unhex(replace(named.value, '-', ''))) = 16;
end;

insert or ignore into entry_instrument (workshop_id, instrument_id, recorded_ms, job_id, seq)
select e.workshop_id, unhex(replace(named.value, '-', '')), e.recorded_ms, e.job_id, e.seq
from entry e, json_each(iif(json_valid(cast(e.body as text)), cast(e.body as text), '{}')) named
where named.key in ('instrument', 'current_instrument', 'thermometer')
    and length(unhex(replace(named.value, '-', ''))) = 16;
