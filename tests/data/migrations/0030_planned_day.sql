-- Invented rows, as the schema stood after the migration of the same name.
insert into planned_day (workshop_id, job_id, day, days, minutes, version) values (x'00000000000000000000000000000001', x'00000000000000000000000000000050', '2026-11-25', 2, 600, 1);
insert into away (workshop_id, person_id, day) values (x'00000000000000000000000000000001', x'00000000000000000000000000000011', '2026-11-26');
