-- Invented rows, as the schema stood after the migration of the same name.
insert into kit_draft (workshop_id, person_id, about, text, kept_ms) values (x'00000000000000000000000000000001', x'00000000000000000000000000000010', zeroblob(16), 'code = "DOCK-30"', 1795593600000);
