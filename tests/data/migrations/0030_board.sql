-- Invented rows, as the schema stood after the migration of the same name.
insert into job_day (workshop_id, job_id, day, minutes, version) values (x'00000000000000000000000000000001', x'00000000000000000000000000000050', '2026-11-26', 240, 2);
insert into away (workshop_id, day, person_id) values (x'00000000000000000000000000000001', '2026-11-27', x'00000000000000000000000000000011');
