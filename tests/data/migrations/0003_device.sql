-- Invented rows, as the schema stood after the migration of the same name.
insert into device values (x'00000000000000000000000000000001', x'00000000000000000000000000000020', 1795593600000, 'Bay 2 phone');
