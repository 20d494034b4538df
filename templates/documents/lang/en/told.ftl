# What papers tell of one job: sentences with its names and figures in them.

title-installation = Certificate of installation and test
title-reinspection = Certificate of re-inspection and test
title-handover = Handover
title-labels = Labels, job { $job }
nature-new = New installation
nature-again = inspected again
extent-new = { $kit } fitted to this vehicle: mounting, cables, fuses, connection and test of all its circuits.
extent-again = { $kit } as it was fitted to this vehicle: looked over, its joints checked with the wrench, and every measurement of its first certificate made again.
limitation-wiring = The vehicle's own wiring was not examined beyond the connection points.
limitation-crash = Crash loads were calculated for the chosen restraint class, not tested.
same-person = Recorded and released by the same person, as the workshop allows.
replaces = Replaces certificate { $number }, which is withdrawn.
again-of = Re-inspection of certificate { $number }
customer-erased = Customer record erased
photo-of-step = Step { $number }: { $title }
photos-left-out = { $shown } of { $all } photos are shown; the workshop keeps the record of the others.
inspection-advice = Yearly, and after any accident or work on the vehicle's wiring: torque marks, covers, cable supports, drop under load. Common practice; the maker's interval comes first.
signed-work = Work done and recorded by
signed-release = Released by
edition = edition { $edition }
edition-of = { $code } edition { $edition }

phase-before = Before you start
phase-mount = Mount
phase-route = Route
phase-terminate = Terminate
phase-protect = Protect
phase-energise = Energise
phase-prove = Prove
phase-hand-over = Hand over

supply-source = Vehicle battery, { $battery }, { $capacity }
battery-flooded = Lead-acid, flooded
battery-agm = Lead-acid, AGM
battery-gel = Lead-acid, gel
battery-lfp = Lithium iron phosphate
return-cable = By cable, every circuit
return-mixed = By cable and, where the circuit table says so, through the body
length-cable = out + back
length-body = out; back by the body
end-battery = vehicle battery
end-wiring = vehicle wiring
end-module = solar module
end-gear = gear
end-load = load
# The same ends behind "from" and "to", for languages that bend them.
end-battery-case = vehicle battery
end-wiring-case = vehicle wiring
end-module-case = solar module
end-gear-case = gear
end-load-case = load
fuse-none = none
fuse-blade-mini = blade fuse, miniature
fuse-blade = blade fuse, medium
fuse-blade-high = blade fuse, high current
fuse-strip-30 = strip fuse, 30 mm
fuse-strip-51 = strip fuse, 51 mm
fuse-single-bolt = single-bolt fuse
fastener-mounting = Mounting
fastener-mount = { $thread }, class { $class }, washer { $washer }
fastener-kit = as the kit says
terminals-place = { $kit }, left to right
read-back = Read back by { $name }, { $at }
accepted = Accepted by { $name }, { $at }: { $reason }

drop-at-current = { $drop } at { $current }
order-read-back = as read back
reading-number = reading { $number }
by-file = came by file
cells-expected = cells at { $cell }, { $expected } expected
photos = { $count ->
    [one] { $count } photo
   *[other] { $count } photos
}
entries-by-file = Entries of { $person } came by their phone's file and were not sent by the phone itself; loaded by { $loader }, { $at } ({ $entries } entries, file { $file }…). Such steps say “came by file”.
not-described = Not described

value-on-day = { $value } on { $day }
since-last = Since the last one: { $words }
found-at = Found at { $value }.
find-out-why = Find out why.
change-due = Due
change-same = Unchanged
change-other = Other
change-not-comparable = Not comparable
change-not-shown = No change shown
change-improved = Improved
change-grown = Grown
change-fallen = Fallen
change-risen = Risen
change-none = the same
change-more = { $figure } more
change-less = { $figure } less
change-within = { $by }, within { $open }.
change-used = { $by }, { $used } % of the way to the limit.
not-comparable-new = new on this sheet.
not-comparable-unit = read in another unit than before.
not-comparable-limit = the limit was another one.
not-comparable-kind = recorded in another way than before.
not-comparable-temperature = its limits follow the temperature, each reading was held against its own.
not-comparable-uncertainty = an uncertainty is missing.

summary-fitted = { $kit } was fitted to this vehicle.
summary-again = { $kit } was inspected again. { $words }.
summary-has = It has { $circuits } and { $fuses }.
circuits-count = { $count ->
    [one] { $count } circuit
   *[other] { $count } circuits
}
fuses-count = { $count ->
    [one] { $count } fuse
   *[other] { $count } fuses
}
summary-passed = { $count ->
    [one] { $count } measurement passed before it was released.
   *[other] { $count } measurements passed before it was released.
}

fuse-protects = { $circuit }: the cable from { $from } to { $to }
fuse-replace = { $rating }, { $form }. Never a larger one.
fuse-place = { $distance } along the cable from { $from }
fuse-place-covered = { $distance } along the cable from { $from }, in a covered run
from-battery = the vehicle battery
from-joint = the joint with the vehicle’s wiring
from-module = the solar module
from-gear = the gear
from-terminal = terminal { $terminal } of the gear
circuit-without-fuse = Circuit { $number }, { $circuit }, has no fuse of its own in this kit.

safe-loads = Switch every load off
safe-loads-how = Each appliance first, then the gear itself as its maker says.
safe-loads-pack = A power pack keeps its charge: its own outlets stay live until it is switched off as its maker says.
safe-charging = Stop whatever charges
safe-charging-how = Engine off, key out. Unplug a mains charger at the wall.
safe-solar = Take the sun off the solar modules
safe-solar-how = Cover them with something that lets no light through, then open their disconnect or unplug them. A module in daylight is live, and a connector pulled under load burns.
safe-battery = Disconnect the vehicle battery, negative first
safe-battery-how = { $circuit } has no fuse of its own. Follow the vehicle maker’s instructions.
safe-supply = Take out the { $rating } fuse at the vehicle battery
safe-blade-out = Pull it straight out. If it is hot, leave it and call the workshop.
safe-bolted-out = It is bolted: rings and watches off, the battery’s negative clamp comes off first, with an insulated tool. Not sure? Leave it and call the workshop.
safe-others = Take out the other fuses
safe-others-one = Take out fuse { $number } of “Find the fuse”, so that nothing feeds back. A second battery keeps its charge.
safe-others-many = Take out fuses { $numbers } and { $last } of “Find the fuse”, so that nothing feeds back. A second battery keeps its charge.
safe-dead = Prove it dead
safe-dead-at = at the supply terminals ({ $terminals })
safe-dead-at-gear = at the supply terminals of { $kit }
safe-dead-how = With a meter: first on a battery that is live, then { $at }, then on the live battery again. It is dead below half a volt. Anything more: touch nothing and call the workshop.
safe-keep-off = Keep it off
safe-keep-off-how = Keep the fuses with you, leave a note at the holder, and call the workshop. Nothing goes back in before the cause is found.
safe-keep-off-call = Keep the fuses with you, leave a note at the holder, and call the workshop, { $call }. Nothing goes back in before the cause is found.

watch-hot = Smell, smoke, a hot cable or fuse, discoloured plastic
watch-hot-act = Make it safe at once, and call the workshop. Fire: out, away, emergency number.
watch-opens = A fuse opens again
watch-opens-act = Leave it out. A larger one protects nothing. The cause is found first.
watch-moves = Movement or rattling of the gear, a cracked torque mark
watch-moves-act = Do not drive with it loaded. Have the fasteners checked.
watch-rubbed = A rubbed, pinched or wet cable, a missing cover or label
watch-rubbed-act = Make it safe, and have it mended before it is used again.
watch-slow = Slow charging, loads that drop out, a vehicle battery that is flat after standing
watch-slow-act = Note when it happens, and call the workshop.
watch-module = A cracked or loose solar module, a warm solar connector
watch-module-act = Cover the module and leave its connector alone: daylight keeps it live.

care-trip = Look: fastened, covers on, nothing chafes, nothing warm that was not warm before.
care-trip-when = Before each trip
care-trip-why = It costs a minute. Common practice.
care-retorque = Every fastener and terminal checked with a torque wrench against its mark, by the workshop.
care-retorque-when = { $day }, or after 1000 km
care-retorque-why = Joints settle in first use. Common practice; the maker’s interval comes first.
care-yearly = Yearly inspection: torque marks, covers, cable supports, drop under load.
care-yearly-why = Also after any accident or work on the vehicle’s wiring. Common practice; the maker’s interval comes first.

plain-none = No result.
plain-done = Done.
plain-torque = As tight as it should be.
plain-fuse = The planned fuse is in the holder.
plain-order = Every conductor is on its own terminal.
plain-path = Cable and joints pass the current as planned.
plain-solar = The modules give their voltage, the right way round.
plain-dead = The wiring was without voltage while it was worked on.
plain-battery-rested = The vehicle battery was in good charge.
plain-battery-charging = The vehicle charges its battery as it should.
plain-charge-current = The gear charges with the current it is made for.
plain-charge-voltage = The gear charges with the voltage it is made for.
plain-sense-on = The gear knows that the engine runs.
plain-sense-off = The gear knows that the engine stands.
plain-sense-cranking = Starting the engine does not disturb the gear.
plain-bond = The way back through the body is good.
plain-rise = No terminal gets too warm under load.
plain-standing = What the gear draws while the vehicle sleeps is small enough.
plain-insulation = No current leaks to the body of the vehicle.
plain-inside = Inside its limits.

label-ends = { $voltage }, { $from } to { $to }
label-fuse = Fuse { $rating }
label-fuse-at = Fuse { $rating }, { $distance } from the source
label-no-fuse = No fuse of its own
label-fuse-rule = Same form and rating only. Find the cause first.
label-foot-job = { $workshop }, job { $number }
label-foot-certificate = { $workshop }, certificate { $number }

drawing-wiring = Wiring as fitted
drawing-wiring-part = Wiring as fitted, part { $part } of { $count }
drawing-drop = drop { $lost }, allowed { $allowed }
drawing-back = back: { $words }
drawing-by-body = back by the body of the vehicle
drawing-from-source = { $distance } from the source
drawing-no-fuse = no fuse
drawing-fuse = fuse { $rating }, { $form }, { $distance } from the source
drawing-back-cable = back by cable, { $length }
drawing-back-body = back by the body
drawing-circuit = { $number }: { $circuit }, from { $from } to { $to }; { $fuse }; cable { $cable }; { $back }.
colour-bk = black
colour-bn = brown
colour-rd = red
colour-og = orange
colour-ye = yellow
colour-gn = green
colour-bu = blue
colour-vt = violet
colour-gy = grey
colour-wh = white
colour-pk = pink
colour-gd = gold
colour-tq = turquoise
colour-sr = silver
