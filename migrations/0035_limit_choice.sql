-- What a workshop chose for the limits that are a choice of the trade and not physics. Each choice is one edition, kept for
-- good: sheets that were made under it name its day and its person. Decimal text, so that it is printed as it was typed.
create table limit_choice (
    workshop_id blob not null references workshop (id),
    edition integer not null check (edition > 0),
    insulation_megohm text not null check (length(insulation_megohm) between 1 and 30),
    path_margin_percent text not null check (length(path_margin_percent) between 1 and 30),
    terminal_rise_k text not null check (length(terminal_rise_k) between 1 and 30),
    string_tolerance_percent text not null check (length(string_tolerance_percent) between 1 and 30),
    -- Must be there where one of them is looser than usual.
    reason text not null check (length(reason) <= 1200),
    chosen_by blob not null,
    chosen_ms integer not null,
    primary key (workshop_id, edition),
    foreign key (workshop_id, chosen_by) references person (workshop_id, id)
) strict, without rowid;

create trigger limit_choice_stays before update on limit_choice begin
    select raise(abort, 'a choice of limits is kept as it was made');
end;
create trigger limit_choice_remains before delete on limit_choice begin
    select raise(abort, 'a choice of limits is kept');
end;
