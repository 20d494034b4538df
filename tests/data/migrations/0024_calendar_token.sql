-- Invented rows, as the schema stood after the migration of the same name.
insert into calendar_token values (x'00000000000000000000000000000001', x'00000000000000000000000000000010', randomblob(32), 1795593600000);
