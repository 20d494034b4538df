-- Invented rows, as the schema stood after the migration of the same name.
insert into audit values (x'00000000000000000000000000000001', 1, 1795593900000, x'00000000000000000000000000000010', x'00000000000000000000000000000020', '/people/{person}/disable', '/people/00000000-0000-0000-0000-000000000011/disable');
