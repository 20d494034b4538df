-- Invented rows, as the schema stood after the migration of the same name.
insert into customer values (x'00000000000000000000000000000001', x'00000000000000000000000000000030', 'Lena Sommer', '0100 555 020', '12 Elm Row', 'lena sommer');
