# Was Papiere von einem Auftrag sagen: Sätze mit seinen Namen und Werten.

title-installation = Zertifikat über Einbau und Prüfung
title-reinspection = Zertifikat über Nachprüfung und Messung
title-handover = Übergabe
title-labels = Etiketten, Auftrag { $job }
nature-new = Neuanlage
nature-again = nachgeprüft
extent-new = { $kit }, in dieses Fahrzeug eingebaut: Befestigung, Leitungen, Sicherungen, Anschluss und Prüfung aller Stromkreise.
extent-again = { $kit }, wie in dieses Fahrzeug eingebaut: besichtigt, die Verbindungen mit dem Drehmomentschlüssel geprüft und jede Messung des ersten Zertifikats wiederholt.
limitation-wiring = Die eigene Verkabelung des Fahrzeugs wurde jenseits der Anschlussstellen nicht untersucht.
limitation-crash = Kräfte bei einem Unfall wurden für die gewählte Rückhalteklasse gerechnet, nicht geprüft.
same-person = Aufgezeichnet und freigegeben von derselben Person, wie die Werkstatt es zulässt.
replaces = Ersetzt Zertifikat { $number }, das zurückgezogen ist.
again-of = Nachprüfung zu Zertifikat { $number }
customer-erased = Kundendaten gelöscht
photo-of-step = Schritt { $number }: { $title }
photos-left-out = { $shown } von { $all } Fotos sind gezeigt; die Werkstatt verwahrt die Aufzeichnung der anderen.
inspection-advice = Jährlich und nach jedem Unfall oder jeder Arbeit an der Verkabelung des Fahrzeugs: Drehmomentmarken, Abdeckungen, Leitungshalter, Spannungsabfall unter Last. Übliche Praxis; der Abstand, den der Hersteller nennt, geht vor.
signed-work = Arbeit ausgeführt und aufgezeichnet von
signed-release = Freigegeben von
edition = Ausgabe { $edition }
edition-of = { $code } Ausgabe { $edition }

phase-before = Vor dem Beginn
phase-mount = Befestigen
phase-route = Verlegen
phase-terminate = Anschließen
phase-protect = Absichern
phase-energise = Einschalten
phase-prove = Nachweisen
phase-hand-over = Übergeben

supply-source = Fahrzeugbatterie, { $battery }, { $capacity }
battery-flooded = Blei, flüssig
battery-agm = Blei, AGM
battery-gel = Blei, Gel
battery-lfp = Lithium-Eisenphosphat
return-cable = Durch Leitung, jeder Stromkreis
return-mixed = Durch Leitung und, wo die Tabelle der Stromkreise es sagt, durch die Karosserie
length-cable = hin + zurück
length-body = hin; zurück durch die Karosserie
end-battery = Fahrzeugbatterie
end-wiring = Fahrzeugverkabelung
end-module = Solarmodul
end-gear = Gerät
end-load = Verbraucher
# Dieselben Enden hinter „von“ und „zu“.
end-battery-case = der Fahrzeugbatterie
end-wiring-case = der Fahrzeugverkabelung
end-module-case = dem Solarmodul
end-gear-case = dem Gerät
end-load-case = dem Verbraucher
fuse-none = keine
fuse-blade-mini = Flachstecksicherung, Mini
fuse-blade = Flachstecksicherung, normal
fuse-blade-high = Flachstecksicherung, Hochstrom
fuse-strip-30 = Streifensicherung, 30 mm
fuse-strip-51 = Streifensicherung, 51 mm
fuse-single-bolt = Einzelbolzensicherung
fastener-mounting = Befestigung
fastener-mount = { $thread }, Klasse { $class }, Scheibe { $washer }
fastener-kit = wie im Bausatz
terminals-place = { $kit }, von links nach rechts
read-back = Abgelesen von { $name }, { $at }
accepted = Angenommen von { $name }, { $at }: { $reason }

drop-at-current = { $drop } bei { $current }
order-read-back = wie abgelesen
reading-number = Messung { $number }
by-file = kam als Datei
cells-expected = Zellen bei { $cell }, { $expected } erwartet
photos = { $count ->
    [one] { $count } Foto
   *[other] { $count } Fotos
}
entries-by-file = Einträge von { $person } kamen als Datei des Telefons und wurden nicht vom Telefon selbst gesendet; geladen von { $loader }, { $at } ({ $entries } Einträge, Datei { $file }…). Bei solchen Schritten steht „kam als Datei“.
not-described = Nicht beschrieben

value-on-day = { $value } am { $day }
since-last = Seit der letzten: { $words }
found-at = Vorgefunden mit { $value }.
find-out-why = Finden Sie heraus, warum.
change-due = Fällig
change-same = Unverändert
change-other = Anders
change-not-comparable = Nicht vergleichbar
change-not-shown = Keine Änderung nachweisbar
change-improved = Verbessert
change-grown = Gewachsen
change-fallen = Gesunken
change-risen = Gestiegen
change-none = gleich
change-more = { $figure } mehr
change-less = { $figure } weniger
change-within = { $by }, innerhalb { $open }.
change-used = { $by }, { $used } % des Wegs zur Grenze.
not-comparable-new = neu auf diesem Arbeitsblatt.
not-comparable-unit = in einer anderen Einheit gemessen als vorher.
not-comparable-limit = die Grenze war eine andere.
not-comparable-kind = anders aufgezeichnet als vorher.
not-comparable-temperature = die Grenzen folgen der Temperatur, jeder Messwert wurde gegen seine eigenen gehalten.
not-comparable-uncertainty = eine Unsicherheit fehlt.

summary-fitted = { $kit } wurde in dieses Fahrzeug eingebaut.
summary-again = { $kit } wurde nachgeprüft. { $words }.
summary-has = Die Anlage hat { $circuits } und { $fuses }.
circuits-count = { $count ->
    [one] { $count } Stromkreis
   *[other] { $count } Stromkreise
}
fuses-count = { $count ->
    [one] { $count } Sicherung
   *[other] { $count } Sicherungen
}
summary-passed = { $count ->
    [one] { $count } Messung ist vor der Freigabe bestanden.
   *[other] { $count } Messungen sind vor der Freigabe bestanden.
}

fuse-protects = { $circuit }: die Leitung von { $from } zu { $to }
fuse-replace = { $rating }, { $form }. Nie eine größere.
fuse-place = { $distance } entlang der Leitung ab { $from }
fuse-place-covered = { $distance } entlang der Leitung ab { $from }, in einem verdeckten Abschnitt
from-battery = der Fahrzeugbatterie
from-joint = der Verbindung mit der Fahrzeugverkabelung
from-module = dem Solarmodul
from-gear = dem Gerät
from-terminal = Klemme { $terminal } des Geräts
circuit-without-fuse = Stromkreis { $number }, { $circuit }, hat in diesem Bausatz keine eigene Sicherung.

safe-loads = Alle Verbraucher ausschalten
safe-loads-how = Zuerst jedes Gerät, dann die Anlage selbst, wie ihr Hersteller es sagt.
safe-loads-pack = Ein Energiespeicher behält seine Ladung: Seine eigenen Ausgänge führen Spannung, bis er so ausgeschaltet ist, wie sein Hersteller es sagt.
safe-charging = Alles abstellen, was lädt
safe-charging-how = Motor aus, Schlüssel abgezogen. Ein Netzladegerät an der Steckdose trennen.
safe-solar = Den Solarmodulen die Sonne nehmen
safe-solar-how = Decken Sie die Module lichtdicht ab, öffnen Sie dann ihren Trenner oder ziehen Sie ihre Stecker. Ein Modul bei Tageslicht führt Spannung, und ein unter Last gezogener Stecker brennt.
safe-battery = Die Fahrzeugbatterie abklemmen, Minus zuerst
safe-battery-how = { $circuit } hat keine eigene Sicherung. Folgen Sie den Anweisungen des Fahrzeugherstellers.
safe-supply = Die Sicherung mit { $rating } an der Fahrzeugbatterie herausnehmen
safe-blade-out = Gerade herausziehen. Ist sie heiß, nicht anfassen und die Werkstatt anrufen.
safe-bolted-out = Sie ist verschraubt: Ringe und Uhren ab, zuerst mit isoliertem Werkzeug die Minusklemme der Batterie lösen. Unsicher? Nicht anfassen und die Werkstatt anrufen.
safe-others = Die anderen Sicherungen herausnehmen
safe-others-one = Nehmen Sie Sicherung { $number } aus „Sicherung finden“ heraus, damit nichts zurückspeist. Eine zweite Batterie behält ihre Ladung.
safe-others-many = Nehmen Sie die Sicherungen { $numbers } und { $last } aus „Sicherung finden“ heraus, damit nichts zurückspeist. Eine zweite Batterie behält ihre Ladung.
safe-dead = Spannungsfreiheit feststellen
safe-dead-at = an den Versorgungsklemmen ({ $terminals })
safe-dead-at-gear = an den Versorgungsklemmen von { $kit }
safe-dead-how = Mit einem Messgerät: zuerst an einer Batterie mit Spannung, dann { $at }, dann wieder an der Batterie mit Spannung. Spannungsfrei heißt unter einem halben Volt. Bei mehr: nichts anfassen und die Werkstatt anrufen.
safe-keep-off = Gegen Wiedereinschalten sichern
safe-keep-off-how = Behalten Sie die Sicherungen bei sich, lassen Sie einen Zettel am Halter und rufen Sie die Werkstatt an. Nichts kommt wieder hinein, bevor die Ursache gefunden ist.
safe-keep-off-call = Behalten Sie die Sicherungen bei sich, lassen Sie einen Zettel am Halter und rufen Sie die Werkstatt an, { $call }. Nichts kommt wieder hinein, bevor die Ursache gefunden ist.

watch-hot = Geruch, Rauch, eine heiße Leitung oder Sicherung, verfärbter Kunststoff
watch-hot-act = Sofort sicher machen und die Werkstatt anrufen. Feuer: hinaus, weg, Notruf.
watch-opens = Eine Sicherung löst wieder aus
watch-opens-act = Lassen Sie sie draußen. Eine größere schützt nichts. Zuerst wird die Ursache gefunden.
watch-moves = Bewegung oder Klappern der Anlage, eine gerissene Drehmomentmarke
watch-moves-act = Fahren Sie nicht damit. Lassen Sie die Verschraubungen prüfen.
watch-rubbed = Eine gescheuerte, gequetschte oder nasse Leitung, eine fehlende Abdeckung oder Aufschrift
watch-rubbed-act = Sicher machen und vor dem nächsten Gebrauch instand setzen lassen.
watch-slow = Langsames Laden, Verbraucher, die ausfallen, eine nach dem Stehen leere Fahrzeugbatterie
watch-slow-act = Notieren Sie, wann es vorkommt, und rufen Sie die Werkstatt an.
watch-module = Ein gesprungenes oder loses Solarmodul, ein warmer Solarstecker
watch-module-act = Decken Sie das Modul ab und lassen Sie seinen Stecker in Ruhe: Tageslicht hält ihn unter Spannung.

care-trip = Hinsehen: fest, Abdeckungen drauf, nichts scheuert, nichts ist warm, was vorher nicht warm war.
care-trip-when = Vor jeder Fahrt
care-trip-why = Es kostet eine Minute. Übliche Praxis.
care-retorque = Jede Verschraubung und Klemme wird von der Werkstatt mit dem Drehmomentschlüssel gegen ihre Marke geprüft.
care-retorque-when = { $day } oder nach 1000 km
care-retorque-why = Verbindungen setzen sich im ersten Gebrauch. Übliche Praxis; der Abstand, den der Hersteller nennt, geht vor.
care-yearly = Jährliche Prüfung: Drehmomentmarken, Abdeckungen, Leitungshalter, Spannungsabfall unter Last.
care-yearly-why = Auch nach jedem Unfall oder jeder Arbeit an der Verkabelung des Fahrzeugs. Übliche Praxis; der Abstand, den der Hersteller nennt, geht vor.

plain-none = Kein Ergebnis.
plain-done = Erledigt.
plain-torque = So fest, wie es sein soll.
plain-fuse = Die geplante Sicherung steckt im Halter.
plain-order = Jeder Leiter sitzt auf seiner Klemme.
plain-path = Leitung und Verbindungen führen den Strom wie geplant.
plain-solar = Die Module geben ihre Spannung, richtig gepolt.
plain-dead = Die Leitungen waren spannungsfrei, während an ihnen gearbeitet wurde.
plain-battery-rested = Die Fahrzeugbatterie war gut geladen.
plain-battery-charging = Das Fahrzeug lädt seine Batterie, wie es soll.
plain-charge-current = Die Anlage lädt mit dem Strom, für den sie gemacht ist.
plain-charge-voltage = Die Anlage lädt mit der Spannung, für die sie gemacht ist.
plain-sense-on = Die Anlage merkt, dass der Motor läuft.
plain-sense-off = Die Anlage merkt, dass der Motor steht.
plain-sense-cranking = Das Anlassen des Motors stört die Anlage nicht.
plain-bond = Der Rückweg durch die Karosserie ist gut.
plain-rise = Keine Klemme wird unter Last zu warm.
plain-standing = Was die Anlage zieht, während das Fahrzeug ruht, ist gering genug.
plain-insulation = Kein Strom kriecht zur Karosserie des Fahrzeugs.
plain-inside = Innerhalb der Grenzen.

label-ends = { $voltage }, { $from } – { $to }
label-fuse = Sicherung { $rating }
label-fuse-at = Sicherung { $rating }, { $distance } ab der Quelle
label-no-fuse = Keine eigene Sicherung
label-fuse-rule = Nur gleiche Bauform und gleicher Wert. Zuerst die Ursache finden.
label-foot-job = { $workshop }, Auftrag { $number }
label-foot-certificate = { $workshop }, Zertifikat { $number }

drawing-wiring = Verdrahtung wie eingebaut
drawing-wiring-part = Verdrahtung wie eingebaut, Teil { $part } von { $count }
drawing-drop = Abfall { $lost }, zulässig { $allowed }
drawing-back = zurück: { $words }
drawing-by-body = zurück durch die Karosserie
drawing-from-source = { $distance } ab der Quelle
drawing-no-fuse = keine Sicherung
drawing-fuse = Sicherung { $rating }, { $form }, { $distance } ab der Quelle
drawing-back-cable = zurück durch Leitung, { $length }
drawing-back-body = zurück durch die Karosserie
drawing-circuit = { $number }: { $circuit }, von { $from } zu { $to }; { $fuse }; Leitung { $cable }; { $back }.
colour-bk = schwarz
colour-bn = braun
colour-rd = rot
colour-og = orange
colour-ye = gelb
colour-gn = grün
colour-bu = blau
colour-vt = violett
colour-gy = grau
colour-wh = weiß
colour-pk = rosa
colour-gd = gold
colour-tq = türkis
colour-sr = silber
