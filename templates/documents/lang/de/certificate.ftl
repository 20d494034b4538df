# Die festen Sätze des Zertifikats und des Nachweises ohne Zertifikat.

certificate-number = Zertifikat
certificate-headline = Jede Messung ist bestanden
certificate-declaration = Die hier genannte Arbeit wurde so ausgeführt, besichtigt und gemessen, wie dieses Zertifikat es darlegt, und zwar von denen, die es unterschreiben.
certificate-end = Ende des Zertifikats
without-certificate-number = Nachweis ohne Zertifikat
without-certificate-headline = Nicht freigegeben: Punkte sind offen
without-certificate-declaration = Die hier genannte Arbeit wurde so ausgeführt, wie dieser Nachweis es darlegt. Das Fahrzeug wird mit den umseitig genannten offenen Punkten und ohne Zertifikat übergeben.
without-certificate-end = Ende des Nachweises

measurements-count = { $count ->
    [one] { $count } Messung
   *[other] { $count } Messungen
}
inspections-count = { $count ->
    [one] { $count } Besichtigung
   *[other] { $count } Besichtigungen
}
concessions-count = { $count ->
    [one] { $count } Zugeständnis
   *[other] { $count } Zugeständnisse
}
defects-count = { $count ->
    [one] { $count } Mangel gefunden und behoben
   *[other] { $count } Mängel gefunden und behoben
}

record = Dieselben Ergebnisse maschinenlesbar, wie mit diesem Dokument versiegelt
open-points = Offene Punkte
fasteners = Verschraubungen
terminals = Klemmenfolge wie abgelesen
measurements = Messungen
measurements-lead = U ist die erweiterte Unsicherheit des Messwerts (k = 2). Der Abstand ist der Weg vom Messwert zur näheren Grenze. Auf dem Balken ist das Volle frei von den Grenzen, das Schraffierte näher an einer Grenze als U, die Nadel der Messwert.
inspections = Besichtigungen
findings = Befunde des Plans
drawings = Zeichnungen des Plans
deviations = Abweichungen
defects = Gefundene und behobene Mängel, ersetzte Ergebnisse
instruments = Messgeräte
rule-title = Wie ein Urteil entsteht
rule-1 = Ein Messwert besteht, wenn er um mindestens seine eigene erweiterte Unsicherheit innerhalb seiner Grenzen liegt: Annahme mit Schutzabstand w = U bei k = 2, wie ILAC-G8:09/2019 sie in 4.2.2 beschreibt. Er besteht nicht, wenn er außerhalb einer Grenze liegt. Dazwischen ist er unklar, und das ist kein Bestehen: Die Messung wird mit einem besseren Messgerät oder einem besseren Verfahren wiederholt. Niemand kann ein Urteil übergehen.
rule-2 = U folgt aus den Angaben zum Messgerät und aus seiner Kalibrierung: Standardunsicherheit aus den Fehlergrenzen als Rechteckverteilung, zusammengesetzt und erweitert nach JCGM 100. Grenzen kommen aus dem Plan für dieses Fahrzeug und den Angaben des Herstellers; Messwerte und Grenzen werden ungerundet verglichen. Sicherungswerte und Klemmenfolge werden abgelesen und genau verglichen.
scope = Die Ergebnisse gelten nur für dieses Fahrzeug, wie es am Tag der Prüfung war, und nur für das hier Genannte. Sie ersetzen keine Anweisung eines Herstellers, keine örtliche Vorschrift und keine befugte Fachkraft; wo diese mehr verlangen, gelten sie. Jede spätere Änderung an der Anlage liegt außerhalb dieses Zertifikats.
seal = Versiegelt mit dem digitalen Siegel der Werkstatt. Der Code zeigt, ob dieses Papier echt, ersetzt oder zurückgezogen ist.
proof-title = Was das Siegel beweist
proof-1 = Das Siegel beweist, dass diese Datei die Werkstatt genau so verlassen hat, versiegelt mit dem Schlüssel, dessen Fingerabdruck oben steht, und dass die versiegelten Ergebnisse zu einer Kette von Einträgen gehören, die danach nicht spurlos verändert wurde: Jeder Eintrag trägt den Hash des vorigen, jedes Zertifikat den Kopf des Registers vor ihm. Ein digitales Siegel ist das Zeichen der Werkstatt. Es ist keine qualifizierte elektronische Signatur einer Person.
proof-2 = Es beweist nicht, dass das Eingetippte wahr ist, dass die Messgeräte richtig benutzt wurden oder dass am Fahrzeug seither nichts verändert wurde. Ob dieses Zertifikat zurückgezogen oder ersetzt ist, weiß nur seine öffentliche Seite oder die signierte Liste der Werkstatt. Ein Ausdruck allein beweist nichts: Prüfen Sie die Nummer auf der öffentlichen Seite.
proof-entries = Einträge in der Kette
proof-head = Kopf der Kette
proof-sheet = Ausgabe des Arbeitsblatts
proof-plan = Plan
proof-plan-hash = Hash des Plans
proof-kit = Bausatz
proof-kit-hash = Hash des Bausatzes
proof-record = Hash der angehängten Aufzeichnung
proof-register = Kopf des Registers davor
proof-seal = Fingerabdruck des Siegels
proof-software = Programm
proof-tables = Tabellen
proof-page = Öffentliche Seite
