-- Invented rows, as the schema stood after the migration of the same name.
insert into register values (x'00000000000000000000000000000001', 2, zeroblob(32), 'key', '', zeroblob(32), zeroblob(32), 1795593800000, randomblob(32));
insert into seal_change values (x'00000000000000000000000000000001', 2, x'3000', x'3001', x'30', x'31');
