"""Recomputes an exported job from its archive alone, with nothing but Python's own library.

Written from the formulas of the archive's README.txt (and of the project's written seal format), not from
the program: genesis, every commitment and entry hash, the head that each certificate's record names, the
digests of record and PDF in the register, every line of the register, and the sums. Ends with 1 and a
sentence at the first thing that does not fit. Usage: recompute_record.py ARCHIVE.zip, or --vector for the
published test vector.
"""

import hashlib
import json
import re
import sys
import uuid
import zipfile


class Wrong(Exception):
    """Something does not fit."""


def fits(holds, sentence):
    if not holds:
        raise Wrong(sentence)


def sha256(data):
    return hashlib.sha256(data).digest()


def lp(data):
    return len(data).to_bytes(4, "big") + data


def number(value):
    return value.to_bytes(8, "big")


def tagged(tag, *parts):
    return sha256(tag.encode() + b"".join(lp(part) for part in parts))


def id16(text):
    return uuid.UUID(text).bytes


def genesis(job, workshop):
    return tagged("job/1\n", job, workshop)


def commitment(salt, body):
    return tagged("body/1\n", salt, body)


def entry_hash(job, seq, prev, entry, device, person, received_ms, committed):
    parts = (job, number(seq), prev, entry, device, person, number(received_ms), committed)
    return tagged("entry/1\n", *parts)


def register_hash(index, prev, kind, certificate, record, pdf, time_ms):
    parts = (number(index), prev, kind.encode(), certificate.encode(), record, pdf, number(time_ms))
    return tagged("reg/1\n", *parts)


def vector():
    """The published vector: a job of one entry."""
    job, workshop = bytes(range(16)), b"\xaa" * 16
    start = genesis(job, workshop)
    committed = commitment(b"\x04" * 16, b'{"step":"m-07","torque_mNm":11800}')
    entry = entry_hash(
        job, 0, start, b"\x01" * 16, b"\x02" * 16, b"\x03" * 16, 1764054000000, committed
    )
    for found, published in (
        (start, "ac89dfa4d8c81350db710e060d8c6162ae283fe861c7e554dce0069ced88f3e1"),
        (committed, "3b7cdb8b5ad5286bee380adfbfef996ac9663a24166f0becce739b762dfb909b"),
        (entry, "a77eef52ccca7483b760ac4e006ed7829efbf54d7cd8dace8a3abe4d7a096d66"),
    ):
        fits(found.hex() == published, f"the vector gives {found.hex()} and not {published}")
    print("the published vector comes out")


def sums(archive):
    said = {}
    for line in archive.read("SHA256SUMS").decode().splitlines():
        digest, name = line.split("  ")
        said[name] = digest
    names = [name for name in archive.namelist() if name != "SHA256SUMS"]
    fits(sorted(names) == sorted(said), "SHA256SUMS names other files than there are")
    for name in names:
        fits(sha256(archive.read(name)).hex() == said[name], f"{name} has another digest")


def chain(archive, about):
    """The chain's value after each entry."""
    job = id16(about["job"]["id"])
    prev = genesis(job, id16(about["workshop"]["id"]))
    heads = []
    for seq, text in enumerate(archive.read("entries.jsonl").splitlines()):
        line = json.loads(text)
        body = line["body"].encode()
        committed = commitment(bytes.fromhex(line["salt"]), body)
        ids = (id16(line[key]) for key in ("entry", "device", "person"))
        hashed = entry_hash(job, seq, prev, *ids, line["received_ms"], committed)
        fits(line["seq"] == seq, f"entry {seq}: it says {line['seq']}")
        fits(line["prev"] == prev.hex(), f"entry {seq}: it follows on something else")
        fits(line["commitment"] == committed.hex(), f"entry {seq}: another commitment")
        fits(line["hash"] == hashed.hex(), f"entry {seq}: another hash")
        fits(json.loads(body)["id"] == line["entry"], f"entry {seq}: its body has another id")
        prev = hashed
        heads.append(prev.hex())
    return heads


def register(archive):
    prev, lines = bytes(32), []
    for index, text in enumerate(archive.read("register.jsonl").splitlines()):
        line = json.loads(text)
        digests = (bytes.fromhex(line[key]) for key in ("record_sha256", "pdf_sha256"))
        hashed = register_hash(index, prev, line["kind"], line["number"], *digests, line["time_ms"])
        fits(line["index"] == index, f"register line {index}: it says {line['index']}")
        fits(line["prev"] == prev.hex(), f"register line {index}: it follows on something else")
        fits(line["hash"] == hashed.hex(), f"register line {index}: another hash")
        prev = hashed
        lines.append(line)
    return lines


def certificate(archive, noted, heads, lines):
    name = noted["number"]
    record = archive.read(f"certificates/{name}.json")
    pdf = archive.read(f"certificates/{name}.pdf")
    said = json.loads(record)
    line = lines[noted["register_index"]]
    fits(line["number"] == name, f"{name}: its line is about {line['number']}")
    fits(line["record_sha256"] == sha256(record).hex(), f"{name}: the register has another record")
    fits(line["pdf_sha256"] == sha256(pdf).hex(), f"{name}: the register has another PDF")
    fits(line["prev"] == said["register_prev"], f"{name}: it follows on another line")
    fits(re.sub("-", "", said["number"]) == name, f"{name}: its record bears another number")
    fits(said["entry_count"] <= len(heads), f"{name}: it was made from more entries")
    fits(heads[said["entry_count"] - 1] == said["head"], f"{name}: the entries lead to another head")
    sheet = f"sheets/{said['sheet_edition']}.json"
    fits(sha256(archive.read(sheet)).hex() == said["sheet_sha256"], f"{name}: another sheet")
    plan = f"plans/{said['plan_edition']}.toml"
    fits(sha256(archive.read(plan)).hex() == said["plan_sha256"], f"{name}: another plan")
    fits(sha256(archive.read("kit.toml")).hex() == said["kit"]["sha256"], f"{name}: another kit")


def recompute(path):
    with zipfile.ZipFile(path) as archive:
        names = archive.namelist()
        fits(len(names) == len(set(names)), "a name stands in the archive twice")
        sums(archive)
        about = json.loads(archive.read("job.json"))
        heads = chain(archive, about)
        lines = register(archive)
        for noted in about["certificates"]:
            certificate(archive, noted, heads, lines)
    print(f"{len(heads)} entries, head {heads[-1] if heads else 'none'}")
    print(f"{len(lines)} lines of the register, {len(about['certificates'])} certificates")


def main():
    try:
        if sys.argv[1] == "--vector":
            vector()
        else:
            recompute(sys.argv[1])
    except (Wrong, KeyError, IndexError, ValueError, zipfile.BadZipFile) as why:
        sys.exit(f"wrong: {why}")


main()
