# Days, limits and units, as figures are told on every paper.

day-words = { $day } { $month } { $year }
month-1 = January
month-2 = February
month-3 = March
month-4 = April
month-5 = May
month-6 = June
month-7 = July
month-8 = August
month-9 = September
month-10 = October
month-11 = November
month-12 = December

limit-most = at most { $figure }
limit-least = at least { $figure }
limit-between = { $low } to { $high }
limit-expected = { $figure } of expected
limit-order = the kit's order
# The next American size that is not smaller than the metric one.
awg-next = { $size } or thicker
