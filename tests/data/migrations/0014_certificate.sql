-- Invented rows, as the schema stood after the migration of the same name.
insert into certificate values (x'00000000000000000000000000000001', 'HV-26-00001-A', x'00000000000000000000000000000050', 1, cast('{}' as blob), zeroblob(32), '7K2M-9QXW', 1795593600000, 0);
