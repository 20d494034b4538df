-- Full-text search over jobs, and since when a job waits. Kept by the database itself, so that no way of
-- adding a job or an entry can forget it. A document is a row of job_search; job_text indexes it. Names
-- stand here as copies: whoever changes or erases one has changed it here too. The index drops old words when its
-- parts are merged; made to drop them at once (secure-delete), it walks all jobs for each word of each change.
alter table job drop column search;
-- When the job came to the stage that it is in.
alter table job add column since_ms integer not null default 0;
-- What a manager should look at twice: kinds with their counts, as `clock_off:2 improbable:1`.
alter table job add column notices text not null default '' check (length(notices) <= 500);
update job set since_ms = updated_ms;
-- In place of the index by stage and change: of two that begin alike the engine may take the one that has to be sorted.
drop index job_by_stage;
-- Nobody asks for all jobs that one person ever had; those that are open are found by their stage.
drop index job_by_technician;
create index job_by_wait on job (workshop_id, stage, since_ms, id);
-- Links that nobody opened yet, by their end.
create index customer_link_unopened on customer_link (workshop_id, expires_ms, job_id)
    where opened = 0 and revoked_ms is null;

-- Numbered in the order in which jobs were opened, which is the order of what is found.
create table job_search (
    doc integer primary key,
    workshop_id blob not null,
    job_id blob not null,
    opened_ms integer not null,
    -- Words that nobody types, for filters: zzw workshop, zzs stage, zzk kit, zzp person.
    keys text not null,
    -- Of the job and of its certificates.
    number text not null,
    customer text not null,
    -- With registration and the end of the identification number.
    vehicle text not null,
    kit text not null,
    people text not null,
    -- Serial numbers, notes, remarks, reasons: the first 20 000 characters.
    notes text not null,
    unique (workshop_id, job_id),
    foreign key (workshop_id, job_id) references job (workshop_id, id)
) strict;

create index job_search_by_opening on job_search (workshop_id, opened_ms, doc);

create virtual table job_text using fts5 (
    keys, number, customer, vehicle, kit, people, notes,
    content = 'job_search', content_rowid = 'doc',
    tokenize = 'unicode61 remove_diacritics 2', prefix = '2 3'
);

-- What people wrote or read off, entry by entry.
create view entry_words as
select workshop_id, job_id, seq,
    coalesce(json_extract(body, '$.text'), json_extract(body, '$.reason'), json_extract(body, '$.remark')) as words
from (
    select workshop_id, job_id, seq, iif(json_valid(cast(body as text)), cast(body as text), '{}') as body
    from entry
    where kind in ('note', 'unable', 'remark', 'return', 'concession', 'acknowledge')
);

-- The words of a job, but for its notes. Who works or worked on it is asked for within each row: a view of its
-- own would be worked out for all jobs each time.
create view job_words as
select j.workshop_id, j.id as job_id, j.number as job_number, j.opened_ms,
    'zzw' || hex(j.workshop_id) || ' zzs' || j.stage || ' zzk' || hex(k.code) || coalesce((
        select group_concat(' zzp' || hex(w.person_id), '') from (
            select j.technician_id as person_id where j.technician_id is not null
            union
            select e.person_id from entry e where e.workshop_id = j.workshop_id and e.job_id = j.id) w), '') as keys,
    j.number || coalesce((
        select group_concat(' ' || n.number, '') from certificate n
        where n.workshop_id = j.workshop_id and n.job_id = j.id), '') as number,
    c.name as customer,
    j.vehicle || ' ' || j.registration || ' ' || j.plate || ' ' || j.vin as vehicle,
    k.code || ' ' || k.title as kit,
    coalesce((
        select group_concat(p.name, ' ') from (
            select j.technician_id as person_id where j.technician_id is not null
            union
            select e.person_id from entry e where e.workshop_id = j.workshop_id and e.job_id = j.id) w
        join person p on p.workshop_id = j.workshop_id and p.id = w.person_id), '') as people
from job j
join customer c on c.workshop_id = j.workshop_id and c.id = j.customer_id
join kit k on k.workshop_id = j.workshop_id and k.id = j.kit_id;

insert into job_search (workshop_id, job_id, opened_ms, keys, number, customer, vehicle, kit, people, notes)
select workshop_id, job_id, opened_ms, keys, number, customer, vehicle, kit, people, substr(coalesce((
    select group_concat(e.words, ' ') from entry_words e
    where e.workshop_id = w.workshop_id and e.job_id = w.job_id), ''), 1, 20000)
from job_words w order by job_number;
insert into job_text (job_text) values ('rebuild');

create trigger job_search_is_indexed after insert on job_search
begin
    insert into job_text (rowid, keys, number, customer, vehicle, kit, people, notes)
    values (new.doc, new.keys, new.number, new.customer, new.vehicle, new.kit, new.people, new.notes);
end;

create trigger job_search_leaves_the_index after delete on job_search
begin
    insert into job_text (job_text, rowid, keys, number, customer, vehicle, kit, people, notes)
    values ('delete', old.doc, old.keys, old.number, old.customer, old.vehicle, old.kit, old.people, old.notes);
end;

create trigger job_search_is_indexed_anew after update on job_search
when (old.keys, old.number, old.customer, old.vehicle, old.kit, old.people, old.notes)
    is not (new.keys, new.number, new.customer, new.vehicle, new.kit, new.people, new.notes)
begin
    insert into job_text (job_text, rowid, keys, number, customer, vehicle, kit, people, notes)
    values ('delete', old.doc, old.keys, old.number, old.customer, old.vehicle, old.kit, old.people, old.notes);
    insert into job_text (rowid, keys, number, customer, vehicle, kit, people, notes)
    values (new.doc, new.keys, new.number, new.customer, new.vehicle, new.kit, new.people, new.notes);
end;

create trigger job_is_searched after insert on job
begin
    update job set since_ms = new.updated_ms
    where workshop_id = new.workshop_id and id = new.id and since_ms = 0;
    insert into job_search (workshop_id, job_id, opened_ms, keys, number, customer, vehicle, kit, people, notes)
    select workshop_id, job_id, opened_ms, keys, number, customer, vehicle, kit, people, ''
    from job_words where workshop_id = new.workshop_id and job_id = new.id;
end;

create trigger job_is_searched_anew
after update of stage, technician_id, number, customer_id, kit_id, vehicle, registration, plate, vin, opened_ms on job
when (old.stage, old.technician_id, old.number, old.customer_id, old.kit_id, old.vehicle, old.registration, old.plate, old.vin, old.opened_ms)
    is not (new.stage, new.technician_id, new.number, new.customer_id, new.kit_id, new.vehicle, new.registration, new.plate, new.vin, new.opened_ms)
begin
    update job set since_ms = new.updated_ms
    where workshop_id = new.workshop_id and id = new.id and new.stage <> old.stage;
    update job_search set (opened_ms, keys, number, customer, vehicle, kit, people) = (
        select w.opened_ms, w.keys, w.number, w.customer, w.vehicle, w.kit, w.people from job_words w
        where w.workshop_id = new.workshop_id and w.job_id = new.id)
    where workshop_id = new.workshop_id and job_id = new.id;
end;

create trigger job_leaves_the_search before delete on job
begin
    delete from job_search where workshop_id = old.workshop_id and job_id = old.id;
end;

create trigger customer_is_searched_anew after update of name on customer when old.name <> new.name
begin
    update job_search set customer = new.name
    where workshop_id = new.workshop_id and job_id in (
        select j.id from job j where j.workshop_id = new.workshop_id and j.customer_id = new.id);
end;

create trigger person_is_searched_anew after update of name on person when old.name <> new.name
begin
    update job_search set people = (
        select w.people from job_words w
        where w.workshop_id = job_search.workshop_id and w.job_id = job_search.job_id)
    where doc in (select rowid from job_text where job_text match 'keys : zzp' || hex(new.id))
        and workshop_id = new.workshop_id;
end;

create trigger certificate_is_searched after insert on certificate
begin
    update job_search set number = number || ' ' || new.number
    where workshop_id = new.workshop_id and job_id = new.job_id;
end;

create trigger entry_is_searched after insert on entry
begin
    update job_search set (keys, people) = (
        select w.keys, w.people from job_words w
        where w.workshop_id = new.workshop_id and w.job_id = new.job_id)
    where workshop_id = new.workshop_id and job_id = new.job_id
        and instr(keys, ' zzp' || hex(new.person_id)) = 0;
    update job_search set notes = substr(notes || ' ' || (
        select words from entry_words
        where workshop_id = new.workshop_id and job_id = new.job_id and seq = new.seq), 1, 20000)
    where workshop_id = new.workshop_id and job_id = new.job_id and length(notes) < 20000
        and exists (select 1 from entry_words
            where workshop_id = new.workshop_id and job_id = new.job_id and seq = new.seq and words <> '');
end;
