-- Invented rows, as the schema stood after the migration of the same name.
update customer set name = 'Lena Winter' where name = 'Lena Sommer';
delete from job_search where job_id = x'00000000000000000000000000000051';
insert into job_search values (2, x'00000000000000000000000000000001', x'00000000000000000000000000000051', 1795593600000, 'zzw00000000000000000000000000000001 zzsplanning', '2', 'Lena Winter', 'Pick-up', 'dock-30', '', '');
