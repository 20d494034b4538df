"""Prints the entries and photos of a data folder as JSON, read past the program: the folder is its argument."""

import hashlib
import json
import sqlite3
import sys
import uuid
from pathlib import Path


def text(raw: bytes) -> str:
    return str(uuid.UUID(bytes=raw))


def main(folder: Path) -> None:
    # Not opened for reading alone: after a hard end the log beside the database belongs to it.
    with sqlite3.connect(folder / "fusewright.db") as db:
        entries = [
            {"id": text(id_), "job": text(job), "person": text(person), "body": body.decode()}
            for id_, job, person, body in db.execute("select id, job_id, person_id, body from entry")
        ]
        files = {path.stem: path for path in folder.rglob("*.jpg")}
        photos = [
            {"sha256": sha256.hex(), "file": digest(files.get(stored.hex()))}
            for sha256, stored in db.execute("select sha256, stored_sha256 from photo")
        ]
    json.dump({"entries": entries, "photos": photos}, sys.stdout)


def digest(path: Path | None) -> str | None:
    return path and hashlib.sha256(path.read_bytes()).hexdigest()


main(Path(sys.argv[1]))
