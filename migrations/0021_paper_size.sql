-- Which paper certificates and handovers are made for: what the workshop's and the customer's printers hold.
alter table workshop add column paper text not null default 'a4' check (paper in ('a4', 'letter'));
