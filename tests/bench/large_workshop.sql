-- A batch of invented jobs in the demo's workshop, made from their numbers: :from up to before :until, :all in
-- the end, :now in milliseconds. One statement to a paragraph; each begins where `n` is put in.

insert into customer (workshop_id, id, name, contact, address, search)
select w, unhex(printf('c0%030x', i)),
    printf('%s %s %d', substr('ArdenBrockCliveDorsaEwartFlintGrisePaddy', 1 + i % 8 * 5, 5),
        substr('FarmsLinesWorksYards', 1 + i / 8 % 4 * 5, 5), i / 5), '', '', ''
from n, shop where i % 5 = 0;

insert into job (workshop_id, id, number, customer_id, kit_id, vehicle, registration, plate, vin, technician_id,
    opened_ms, opened_by, stage, steps_total, steps_done, flags, entry_count, updated_ms)
select w, unhex(printf('d0%030x', i)), 1000 + i, unhex(printf('c0%030x', i - i % 5)), k,
    trim(substr('Panel van Pick-up   Camper    Flatbed   ', 1 + i % 4 * 10, 10)),
    printf('%c%c %02d %c%c%c', 65 + i % 26, 65 + i / 26 % 26, i / 676 % 100, 65 + i / 67600 % 26, 65 + i % 7, 65 + i % 11),
    printf('%c%c%02d%c%c%c', 65 + i % 26, 65 + i / 26 % 26, i / 676 % 100, 65 + i / 67600 % 26, 65 + i % 7, 65 + i % 11),
    printf('%08d', i * 7919 % 100000000), p, :now - (:all - i) * 300000, p,
    case when :all - i <= 400
        then trim(substr('planning ready    working  returned review   ', 1 + i % 5 * 9, 9)) else 'released' end,
    60, 60, '', 60, :now - (:all - i) * 300000 + 86400000
from n, shop join hands on hands_at = i % hands_all join kits on kits_at = i % kits_all;

insert into entry (workshop_id, job_id, seq, id, sheet, step, kind, device_id, person_id, recorded_ms, received_ms,
    salt, body, commitment, prev, hash)
select w, unhex(printf('d0%030x', i)), 0, unhex(printf('e0%030x', i)), 1, 'before.serial', 'note', device, p,
    :now - (:all - i) * 300000, :now - (:all - i) * 300000, zeroblob(16),
    cast(printf('{"text":"Serial %c%06d, %s"}', 65 + i % 26, i,
        substr('clip aged, renewed  paint scratched     nothing             lid hard to move    ', 1 + i % 4 * 20, 20)) as blob),
    zeroblob(32), zeroblob(32), zeroblob(32)
from n, shop, tablet join hands on hands_at = i % hands_all;

insert into result (workshop_id, job_id, step, nth, kit_code, title, circuit, kind, figure, unit, planned, verdict,
    person_id, instrument_id, recorded_ms)
select w, unhex(printf('d0%030x', i)), printf('prove.supply.check_%d', c), 1, code, printf('Check %d', c),
    iif(c = 0, 'supply', null), iif(c = 0, 'path_drop', 'reading'), printf('4.%02d', 60 + (i * 31 + c) % 40),
    iif(c = 0, 'mΩ', 'V'), iif(c = 0, '4.80', null), iif((i + c) % 37 = 0, 'Fail', 'Pass'), p, meter,
    :now - (:all - i) * 300000 + c * 60000
from n, shop, gauge, checks join hands on hands_at = i % hands_all join kits on kits_at = i % kits_all;

insert into job_course (workshop_id, job_id, submitted_ms, released_ms)
select w, unhex(printf('d0%030x', i)), :now - (:all - i) * 300000 + 40000000,
    iif(:all - i <= 400, null, :now - (:all - i) * 300000 + 86400000)
from n, shop;
