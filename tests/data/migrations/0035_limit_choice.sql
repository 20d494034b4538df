-- Invented rows, as the schema stood after the migration of the same name.
insert into limit_choice values (x'00000000000000000000000000000001', 1, '1', '20', '25', '5', 'Long runs, measured with a four-wire meter.', x'00000000000000000000000000000010', 1795593600000);
