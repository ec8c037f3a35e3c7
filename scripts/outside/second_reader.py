#!/usr/bin/env python3
"""Compares the grids longhand reads with what other programs read, cell by cell: values, merged cells, plain fills,
hidden sheets, rows and columns.

    python3 scripts/outside/second_reader.py [PATH ...]

Without PATH: tests/fixtures and corpus. .xlsx is read by openpyxl, .xls by xlrd, csv by Python's csv module, .ods,
.fods and .xlsb by LibreOffice (saved again as .xlsx, read by openpyxl). Needs the packages of requirements.txt and
the example program grid_dump, which it builds. A file longhand refuses must be one the list REFUSED names, or one
that no other program reads either.
"""

import csv
import datetime
import io
import json
import pathlib
import re
import shutil
import subprocess
import sys
import tempfile

import openpyxl
import openpyxl.utils
import xlrd

HOME = pathlib.Path(__file__).resolve().parents[2]

# Refused on purpose, whatever others make of them.
REFUSED = {"far-corners.xls": "too-large", "locked.xlsx": "encrypted-file"}

UNSEEN = re.compile(r"[\s\u0000-\u001f\u007f-\u009f\u200b-\u200f\u2060\ufeff]*")


def cell_name(row, column):
    return f"{openpyxl.utils.get_column_letter(column + 1)}{row + 1}"


def plain(value):
    """A value in the form all readers are compared in; None for a cell with nothing to see in it."""
    if value is None:
        return None
    if isinstance(value, str):
        text = value.replace("\r\n", "\n").replace("\r", "\n")
        return None if UNSEEN.fullmatch(text) else text
    if isinstance(value, bool):
        return float(value)
    if isinstance(value, (int, float)):
        return float(value)
    if isinstance(value, (datetime.datetime, datetime.date)):
        return f"{value.year:04}-{value.month:02}-{value.day:02}"
    if isinstance(value, datetime.time):
        return (value.hour * 3600 + value.minute * 60 + value.second) / 86400
    if isinstance(value, datetime.timedelta):
        return value.total_seconds() / 86400
    raise TypeError(f"{value!r}")


def same(ours, theirs):
    if isinstance(ours, float) and isinstance(theirs, float):
        return abs(ours - theirs) <= 1e-9 * max(1.0, abs(ours))
    return ours == theirs


def by_openpyxl(path):
    book = openpyxl.load_workbook(path, data_only=True)
    formulas = openpyxl.load_workbook(path)
    sheets = []
    for sheet in book.worksheets:
        cells = {}
        for row in sheet._cells.values():
            value = plain(row.value)
            shown = formulas[sheet.title].cell(row.row, row.column).value if row.value is None else None
            if value is None and isinstance(shown, str) and shown.startswith("="):
                # A formula without a stored result.
                value = shown
            if value is not None:
                # Characters that XML can't hold.
                if isinstance(value, str):
                    value = re.sub(r"_x([0-9A-Fa-f]{4})_", lambda code: chr(int(code[1], 16)), value)
                cells[row.coordinate] = value
        fills = {}
        for row in sheet._cells.values():
            fill = row.fill if row.has_style else None
            if fill and fill.fill_type == "solid" and fill.fgColor.type == "rgb":
                fills[row.coordinate] = fill.fgColor.rgb[-6:].upper()
        columns = set()
        for column in sheet.column_dimensions.values():
            if column.hidden:
                columns |= set(range(column.min - 1, column.max))
        sheets.append(
            {
                "name": sheet.title,
                "hidden": sheet.sheet_state != "visible",
                "cells": cells,
                "merges": {str(merge) for merge in sheet.merged_cells.ranges},
                "fills": fills,
                "hidden_rows": {number - 1 for number, row in sheet.row_dimensions.items() if row.hidden},
                "hidden_columns": columns,
            }
        )
    return sheets


def by_xlrd(path):
    book = xlrd.open_workbook(path, formatting_info=True)
    sheets = []
    for sheet in book.sheets():
        cells = {}
        covered = set()
        merges = set()
        for top, bottom, left, right in sheet.merged_cells:
            merges.add(f"{cell_name(top, left)}:{cell_name(bottom - 1, right - 1)}")
            covered |= {(r, c) for r in range(top, bottom) for c in range(left, right)} - {(top, left)}
        for row in range(sheet.nrows):
            for column in range(sheet.row_len(row)):
                cell = sheet.cell(row, column)
                if cell.ctype in (xlrd.XL_CELL_EMPTY, xlrd.XL_CELL_BLANK) or (row, column) in covered:
                    continue
                value = cell.value
                if cell.ctype == xlrd.XL_CELL_DATE and value >= 1:
                    value = xlrd.xldate_as_datetime(value, book.datemode)
                elif cell.ctype == xlrd.XL_CELL_ERROR:
                    value = xlrd.error_text_from_code[value]
                value = plain(value)
                if value is not None:
                    cells[cell_name(row, column)] = value
        sheets.append({"name": sheet.name, "hidden": sheet.visibility != 0, "cells": cells, "merges": merges})
    return sheets


def by_csv(path):
    data = path.read_bytes()
    if data[:2] in (b"\xff\xfe", b"\xfe\xff"):
        text = data.decode("utf-16")
    elif data[:40].count(0) > 10:
        text = data.decode("utf-16-be" if data[0] == 0 else "utf-16-le")
    else:
        try:
            text = data.decode("utf-8-sig")
        except UnicodeDecodeError:
            text = data.decode("cp1252")
    first = 0
    separators = ",;\t|"
    declared = re.match(r'"?sep=(.)"?\r?\n', text)
    if declared:
        separators = declared[1]
        text = text[declared.end() :]
        first = 1
    # Without a declaration: the separator that leaves the fewest other candidates inside cells.
    readings = [read_csv(text, separator, first) for separator in separators]
    return [min(readings, key=lambda reading: reading[1])[0]]


def read_csv(text, separator, first):
    cells = {}
    uncut = 0
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=separator)
    start = 0
    for record in reader:
        for column, field in enumerate(record):
            value = plain(field)
            if value is not None:
                cells[cell_name(start + first, column)] = value
                uncut += len(value) > 1 and bool(re.search(r"[,;\t|](?! )", value))
        start = reader.line_num
    return {"name": None, "hidden": False, "cells": cells, "merges": set()}, (uncut, -len(cells))


def by_office(paths):
    """Has LibreOffice save the files as .xlsx, all in one call, and reads those."""
    read = {}
    if not paths:
        return read
    with tempfile.TemporaryDirectory() as home:
        inputs = []
        for number, path in enumerate(paths):
            copy = pathlib.Path(home) / f"{number}{path.suffix}"
            shutil.copy(path, copy)
            inputs.append(str(copy))
        out = pathlib.Path(home) / "out"
        command = ["soffice", f"-env:UserInstallation=file://{home}/user", "--headless", "--convert-to", "xlsx"]
        subprocess.run(
            command + ["--outdir", str(out)] + inputs, check=True, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL
        )
        for number, path in enumerate(paths):
            made = out / f"{number}.xlsx"
            if made.exists():
                read[path] = by_openpyxl(made)
    return read


READERS = {
    ".xlsx": by_openpyxl,
    ".xlsm": by_openpyxl,
    ".xls": by_xlrd,
    ".csv": by_csv,
    ".tsv": by_csv,
}
OFFICE = {".ods", ".fods", ".xlsb"}


def near(ours, theirs):
    """Whether two colours are the same but for the rounding of shades."""
    pairs = zip(bytes.fromhex(ours or ""), bytes.fromhex(theirs))
    return ours is not None and all(abs(left - right) <= 1 for left, right in pairs)


def differences(ours, theirs):
    names = [sheet["name"] for sheet in theirs]
    if [sheet["name"] for sheet in ours] != names:
        yield f"sheets: {[sheet['name'] for sheet in ours]}, not {names}"
        return
    for left, right in zip(ours, theirs):
        name = right["name"] or "csv"
        if left["hidden"] != right["hidden"]:
            yield f"{name}: hidden is {left['hidden']}, not {right['hidden']}"
        if set(left["merges"]) != right["merges"]:
            yield f"{name}: merged {sorted(left['merges'])}, not {sorted(right['merges'])}"
        # Not every reading has looks.
        if "fills" in right:
            for kind in ("hidden_rows", "hidden_columns"):
                if set(left[kind]) != {index for index in right[kind] if index < 1_000}:
                    yield f"{name}: {kind} {left[kind]}, not {sorted(right[kind])}"
            fills = {at: fill for at, fill in left["fills"]}
            for at, fill in right["fills"].items():
                if not near(fills.get(at), fill):
                    yield f"{name} {at}: fill {fills.get(at)}, not {fill}"
        cells = {}
        for at, _, value in left["cells"]:
            value = plain(value)
            if value is None:
                yield f"{name} {at}: a blank cell is listed"
            cells[at] = value
        for at in sorted(cells.keys() | right["cells"].keys()):
            if not same(cells.get(at), right["cells"].get(at)):
                yield f"{name} {at}: {cells.get(at)!r}, not {right['cells'].get(at)!r}"


def main():
    roots = [pathlib.Path(path) for path in sys.argv[1:]] or [HOME / "tests" / "fixtures", HOME / "corpus"]
    paths = []
    for root in roots:
        found = sorted(root.rglob("*")) if root.is_dir() else [root]
        paths += [path for path in found if path.suffix.lower() in READERS.keys() | OFFICE]
    subprocess.run(["cargo", "build", "--quiet", "--example", "grid_dump"], cwd=HOME, check=True)
    target = subprocess.run(
        ["cargo", "metadata", "--format-version=1", "--no-deps"], cwd=HOME, check=True, capture_output=True
    )
    program = pathlib.Path(json.loads(target.stdout)["target_directory"]) / "debug" / "examples" / "grid_dump"
    dumped = subprocess.run([program, *map(str, paths)], check=True, capture_output=True)
    office = by_office([path for path in paths if path.suffix.lower() in OFFICE])
    passed, failed = 0, 0
    for path, line in zip(paths, dumped.stdout.decode().splitlines()):
        ours = json.loads(line)
        codes = [finding["code"] for finding in ours["findings"]]
        if path.name in REFUSED:
            told = [] if codes == [REFUSED[path.name]] else [f"found {codes}, not {REFUSED[path.name]}"]
        else:
            try:
                theirs = READERS[path.suffix.lower()](path) if path not in office else office[path]
            except Exception as error:  # Whatever another reader raises on a damaged file.
                theirs = None
                told = [] if ours["sheets"] is None else [f"read, but not by others: {error!r}"]
            if theirs is not None:
                told = (
                    [f"not read: {ours['findings']}"]
                    if ours["sheets"] is None
                    else list(differences(ours["sheets"], theirs))
                )
        passed += not told
        failed += bool(told)
        for difference in told[:10]:
            print(f"{path}: {difference}")
        if len(told) > 10:
            print(f"{path}: and {len(told) - 10} more")
    print(f"{passed} passed, {failed} failed")
    return 1 if failed or not passed else 0


if __name__ == "__main__":
    sys.exit(main())
