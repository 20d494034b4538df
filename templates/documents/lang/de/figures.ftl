# Tage, Grenzen und Einheiten, wie sie auf jedem Papier stehen.

day-words = { $day }. { $month } { $year }
month-1 = Januar
month-2 = Februar
month-3 = März
month-4 = April
month-5 = Mai
month-6 = Juni
month-7 = Juli
month-8 = August
month-9 = September
month-10 = Oktober
month-11 = November
month-12 = Dezember

limit-most = höchstens { $figure }
limit-least = mindestens { $figure }
limit-between = { $low } bis { $high }
limit-expected = { $figure } vom erwarteten Wert
limit-order = die Reihenfolge des Bausatzes
awg-next = { $size } oder dicker
