# The fixed sentences of the certificate, and of the record without one.

certificate-number = Certificate
certificate-headline = Every measurement passes
certificate-declaration = The work named here was done, inspected and measured as this certificate sets out, by the people who sign it.
certificate-end = End of certificate
without-certificate-number = Record without certificate
without-certificate-headline = Not released: points are open
without-certificate-declaration = The work named here was done as this record sets out. The vehicle is handed over with the open points named overleaf and without a certificate.
without-certificate-end = End of record

measurements-count = { $count ->
    [one] { $count } measurement
   *[other] { $count } measurements
}
inspections-count = { $count ->
    [one] { $count } inspection
   *[other] { $count } inspections
}
concessions-count = { $count ->
    [one] { $count } concession
   *[other] { $count } concessions
}
defects-count = { $count ->
    [one] { $count } defect found and corrected
   *[other] { $count } defects found and corrected
}

record = The same results, machine-readable, as sealed with this document
open-points = Open points
fasteners = Fasteners
terminals = Terminal order as read back
measurements = Measurements
measurements-lead = U is the expanded uncertainty of the reading (k = 2). The margin is the distance from the reading to the nearer limit. On the bar, solid is clear of the limits, hatched is nearer to a limit than U, the needle is the reading.
inspections = Inspections
findings = Findings of the plan
drawings = Drawings of the plan
deviations = Deviations
defects = Defects found and corrected, results replaced
instruments = Instruments
rule-title = How a verdict is made
rule-1 = A reading passes when it lies inside its limits by at least its own expanded uncertainty: guarded acceptance with a guard band w = U at k = 2, as ILAC-G8:09/2019 describes in 4.2.2. It fails when it lies outside a limit. Between the two it is inconclusive, which is no pass: the measurement is repeated with a better instrument or a better method. No person can override a verdict.
rule-2 = U is taken from the instrument's specification and its calibration: standard uncertainty from the limits of error as a rectangular distribution, combined and expanded after JCGM 100. Limits come from the plan for this vehicle and the maker's figures; readings and limits are compared unrounded. Fuse ratings and terminal order are read back and compared exactly.
scope = The results relate only to this vehicle, as it was on the day it was tested, and only to what is named here. They take the place of no maker's instruction, local code or licensed person; where those ask for more, they govern. Any later change to the installation is outside this certificate.
seal = Sealed with the workshop's digital seal. Scan to see whether this paper is genuine, replaced or withdrawn.
proof-title = What the seal proves
proof-1 = The seal proves that this file left the workshop exactly as it is, sealed with the key whose fingerprint stands above, and that the sealed results belong to a chain of entries that was not changed afterwards without trace: each entry carries the hash of the one before it, and each certificate the head of the register before it. A digital seal is the workshop's mark. It is not a qualified electronic signature of a person.
proof-2 = It does not prove that what was typed in is true, that the instruments were used well, or that nothing was changed on the vehicle since. Whether this certificate was withdrawn or replaced is known only on its public page or in the workshop's signed list. A printed copy proves nothing by itself: check the number on the public page.
proof-entries = Entries in the chain
proof-head = Head of the chain
proof-sheet = Sheet edition
proof-plan = Plan
proof-plan-hash = Hash of the plan
proof-kit = Kit
proof-kit-hash = Hash of the kit
proof-record = Hash of the attached record
proof-register = Register head before this one
proof-seal = Fingerprint of the seal
proof-software = Software
proof-tables = Tables
proof-page = Public page
