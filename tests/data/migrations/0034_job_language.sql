-- Invented rows, as the schema stood after the migration of the same name.
insert into job_language (workshop_id, job_id, language) values (x'00000000000000000000000000000001', x'00000000000000000000000000000050', 'de');
