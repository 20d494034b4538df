-- Invented rows, as the schema stood after the migration of the same name.
insert into person values (x'00000000000000000000000000000001', x'00000000000000000000000000000010', 'Ines Okafor', 'ines', 'manager', '$argon2id$made-up', 1795593600000, null);
insert into person values (x'00000000000000000000000000000001', x'00000000000000000000000000000011', 'Tom Reyes', 'tom', 'technician', '$argon2id$made-up', 1795593600000, 1795593700000);
