-- Invented rows, as the schema stood after the migration of the same name.
insert into register values (x'00000000000000000000000000000001', 1, zeroblob(32), 'withdraw', 'HV-26-00001-A', zeroblob(32), zeroblob(32), 1795593700000, randomblob(32));
insert into withdrawal_request values (x'00000000000000000000000000000001', 'HV-26-00001-A', 'A reading was taken at the wrong joint.', x'00000000000000000000000000000010', 1795593650000);
insert into withdrawal values (x'00000000000000000000000000000001', 'HV-26-00001-A', 'A reading was taken at the wrong joint.', x'00000000000000000000000000000010', x'00000000000000000000000000000011', 1795593700000, 1);
