-- Invented rows, as the schema stood after the migration of the same name.
insert into sign_in_failure values (x'00000000000000000000000000000001', 'sign_in', 'tom', 1795593600000, 3, 12);
insert into sign_in_failure values (x'00000000000000000000000000000001', 'address', '203.0.113.9', 1795593600000, 3, 3);
