"""Asks an independent signature library about a sealed PDF.

    check_seal.py FILE.pdf CERTIFICATE.pem [ROOT.pem]

Prints one line of `name=value` words and ends with 0 when everything holds: the signature is intact,
valid, trusted with the given certificate as only root, certifying, and covers the whole file; with a
third file also that it carries a time stamp that is intact, valid and trusted with that root. Ends
with 1 when anything does not hold or the file cannot be read.
"""

import sys

from pyhanko.keys import load_cert_from_pemder
from pyhanko.pdf_utils.reader import PdfFileReader
from pyhanko.sign.validation import validate_pdf_signature
from pyhanko.sign.validation.settings import KeyUsageConstraints
from pyhanko_certvalidator import ValidationContext


def check(pdf_path, certificate_path, root_path=None):
    stamp_roots = root_path and ValidationContext(
        trust_roots=[load_cert_from_pemder(root_path)], allow_fetching=False
    )
    roots = ValidationContext(
        trust_roots=[load_cert_from_pemder(certificate_path)], allow_fetching=False
    )
    with open(pdf_path, "rb") as pdf:
        signatures = PdfFileReader(pdf).embedded_signatures
        if len(signatures) != 1:
            return {"signatures": len(signatures)}
        status = validate_pdf_signature(
            signatures[0], roots, ts_validation_context=stamp_roots,
            key_usage_settings=KeyUsageConstraints(key_usage={"non_repudiation"}),
        )
        stamp = status.timestamp_validity
        stamped = {
            "stamp_intact": stamp is not None and stamp.intact,
            "stamp_valid": stamp is not None and stamp.valid,
            "stamp_trusted": stamp is not None and stamp.trusted,
        }
        return (stamped if root_path else {}) | {
            "signatures": 1,
            "intact": status.intact,
            "valid": status.valid,
            "trusted": status.trusted,
            "coverage": status.coverage.name,
            "docmdp_ok": status.docmdp_ok,
            "certifying": signatures[0].docmdp_level is not None,
            "bottom_line": status.bottom_line,
        }


HOLDS = {
    "signatures": 1, "intact": True, "valid": True, "trusted": True, "coverage": "ENTIRE_FILE",
    "docmdp_ok": True, "certifying": True, "bottom_line": True,
}


STAMPED = {"stamp_intact": True, "stamp_valid": True, "stamp_trusted": True}


def main():
    try:
        found = check(*sys.argv[1:])
    except Exception as error:  # whatever the reader refuses is a file that does not hold
        print(f"refused={type(error).__name__}: {error}")
        return 1
    print(" ".join(f"{name}={value}" for name, value in found.items()))
    holds = HOLDS | (STAMPED if len(sys.argv) > 3 else {})
    return 0 if found == holds else 1


if __name__ == "__main__":
    sys.exit(main())
