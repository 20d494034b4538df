-- Invented rows, as the schema stood after the migration of the same name.
insert into kit values (x'00000000000000000000000000000001', x'00000000000000000000000000000040', 'dock-30', 1, 'Power pack dock, 30 A', cast('code = "dock-30"' as blob), zeroblob(32), 1795593600000, x'00000000000000000000000000000010');
