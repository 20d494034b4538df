-- Invented rows, as the schema stood after the migration of the same name.
insert into archive_import values (x'00000000000000000000000000000001', x'00000000000000000000000000000050', 2, 1795593800000);
