"""Reads a CSV or a spreadsheet with libraries that are not ours, and prints what stands in the cells as JSON."""

import csv
import json
import sys
from pathlib import Path

from openpyxl import load_workbook

path = Path(sys.argv[1])
if path.suffix == ".csv":
    with path.open(encoding="utf-8", newline="") as file:
        sheets = {"csv": list(csv.reader(file, strict=True))}
else:
    sheets = {
        sheet.title: [[[cell.data_type, cell.value] for cell in row] for row in sheet.iter_rows()]
        for sheet in load_workbook(path)
    }
json.dump(sheets, sys.stdout, default=str)
