-- Invented rows, as the schema stood after the migration of the same name.
update workshop set registration = 'Register 12-345', call_lines = 'Day and night: 0100 555 071', language = 'de',
    decimal_mark = 'comma', day_style = 'words', other_units = 'awg lbf_in'
    where id = x'00000000000000000000000000000001';
insert into workshop_logo (workshop_id, png) values (x'00000000000000000000000000000001', x'89504e47');
