-- Invented rows, as the schema stood after the migration of the same name.
insert into retention values (x'00000000000000000000000000000001', 24, 6, null);
insert into deletion values (x'00000000000000000000000000000001', 1, 1795593600000, 'photos', 7, 2, 'aa bb');
