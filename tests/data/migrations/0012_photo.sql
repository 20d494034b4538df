-- Invented rows, as the schema stood after the migration of the same name.
insert into photo values (x'00000000000000000000000000000001', zeroblob(32), randomblob(32), 4, 16, 9, 1795593600000, x'00000000000000000000000000000011');
