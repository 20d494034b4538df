-- Invented rows, as the schema stood after the migration of the same name.
insert into workshop values (x'00000000000000000000000000000001', 'Harbour Vehicle Electrics', '4 Quay Lane', '0100 555 010', 'desk@harbour.example', 'HV', 'Northport', 0, '0.50', 1795593600000);
insert into workshop values (x'00000000000000000000000000000002', 'Old Mill Motors', '', '', '', 'OMM', 'Millford', 1, '1', 1795593600001);
