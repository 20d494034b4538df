-- Invented rows, as the schema stood after the migration of the same name.
insert into device (workshop_id, id, first_seen_ms, label, secret_sha256, enrolled_ms, revoked_ms, heard_ms, waiting, clock_off_ms) values (x'00000000000000000000000000000001', x'00000000000000000000000000000021', 1795593600000, 'Bay 1', randomblob(32), 1795593600000, null, 1795593700000, 3, -1500);
insert into device (workshop_id, id, first_seen_ms, label, secret_sha256, enrolled_ms, revoked_ms) values (x'00000000000000000000000000000001', x'00000000000000000000000000000022', 1795593600000, 'Lost phone', randomblob(32), 1795593600000, 1795593800000);
insert into enrol_code values (x'00000000000000000000000000000001', x'00000000000000000000000000000010', randomblob(32), randomblob(32), 1795594200000, 2);
