-- Invented rows, as the schema stood after the migration of the same name.
insert into register values (x'00000000000000000000000000000001', 0, zeroblob(32), 'issue', 'HV-26-00001-A', zeroblob(32), zeroblob(32), 1795593600000, randomblob(32));
