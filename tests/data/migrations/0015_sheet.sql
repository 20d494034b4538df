-- Invented rows, as the schema stood after the migration of the same name.
insert into sheet values (x'00000000000000000000000000000001', x'00000000000000000000000000000050', 1, '{"steps":[]}', 1795593600000);
