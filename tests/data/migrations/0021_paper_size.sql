-- Invented rows, as the schema stood after the migration of the same name.
update workshop set paper = 'letter' where id = x'00000000000000000000000000000001';
