-- What papers say of the workshop beside its name and address, and how they say it: the number it is registered or licensed
-- under, whom the customer calls, language, decimal mark, days, other units. Papers that are sealed stay as they are.
alter table workshop add column registration text not null default '' check (length(registration) <= 200);
-- One line each; where nothing stands here the telephone and the e-mail are printed.
alter table workshop add column call_lines text not null default '' check (length(call_lines) <= 1000);
alter table workshop add column language text not null default 'en' check (language in ('en', 'de'));
alter table workshop add column decimal_mark text not null default 'point' check (decimal_mark in ('point', 'comma'));
alter table workshop add column day_style text not null default 'figures' check (day_style in ('figures', 'words'));
-- Words of units that stand beside the metric ones, with spaces between.
alter table workshop add column other_units text not null default '' check (length(other_units) <= 100);

-- The workshop's mark: at most one, written anew by the server as a PNG without anything behind the picture.
create table workshop_logo (
    workshop_id blob not null primary key references workshop (id),
    png blob not null check (length(png) between 1 and 2097152)
) strict, without rowid;
