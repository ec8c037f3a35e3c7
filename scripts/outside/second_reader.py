#!/usr/bin/env python3
"""Compares the grids longhand reads with what other programs read, cell by cell: values, merged cells, fills,
edges, hidden sheets, rows and columns.

    python3 scripts/outside/second_reader.py [PATH ...]

Without PATH: tests/fixtures, the looks and habits of tests/cases, and corpus. .xlsx is read by openpyxl, .xls by
xlrd, csv by Python's csv module, .ods, .fods and .xlsb by LibreOffice (saved again as .xlsx, read by openpyxl; the
looks of .ods and .fods from flat XML that it saves). Needs the packages of requirements.txt and the example program
grid_dump, which it builds. A file longhand refuses must be one the list REFUSED names, or one that no other program
reads either.
"""

import colorsys
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
import xml.etree.ElementTree

import openpyxl
import openpyxl.styles.colors
import openpyxl.utils
import openpyxl.worksheet._reader
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


# How much of a filled cell shows the colour in front; half for the other patterns.
SHARES = {"solid": 1, "darkGray": 0.75, "gray125": 0.125, "gray0625": 0.0625}

# Rows and columns of a stretch of alike cells that are compared.
STRETCH = 100

PLAIN = [None] * 5


class Palette:
    """The colours of a workbook as openpyxl leaves them: theme, palette, tint."""

    def __init__(self, book):
        self.indexed = book._colors
        self.theme = []
        if book.loaded_theme:
            scheme = xml.etree.ElementTree.fromstring(book.loaded_theme).find(".//{*}clrScheme")
            for entry in scheme:
                self.theme.append(entry[0].get("lastClr") or entry[0].get("val"))
            # Cells count light before dark.
            self.theme[0:4] = [self.theme[1], self.theme[0], self.theme[3], self.theme[2]]

    def hex(self, colour):
        """Six digits; None for an automatic colour."""
        if colour is None or colour.type == "auto":
            return None
        if colour.type == "rgb":
            found = colour.rgb
        elif colour.type == "theme":
            found = self.theme[colour.theme]
        else:
            found = {64: "000000", 65: "FFFFFF"}.get(colour.indexed) or self.indexed[colour.indexed]
        found = found[-6:].upper()
        if colour.tint:
            hue, light, saturation = colorsys.rgb_to_hls(*(part / 255 for part in bytes.fromhex(found)))
            light = light * (1 + colour.tint) if colour.tint < 0 else light + (1 - light) * colour.tint
            found = bytes(round(part * 255) for part in colorsys.hls_to_rgb(hue, light, saturation)).hex().upper()
        return found

    def look(self, cell):
        """Fill, and the edges at the top, right, bottom and left, as grid_dump prints them."""
        if not cell.has_style:
            return PLAIN
        fill = None
        if cell.fill.tagname == "gradientFill":
            ends = [bytes.fromhex(self.hex(cell.fill.stop[end].color)) for end in (0, -1)]
            fill = mixed(*ends, 0.5)
        elif cell.fill.fill_type:
            pattern = cell.fill.fill_type
            share = SHARES.get(pattern, 0.25 if pattern.startswith("light") else 0.5)
            # Colours a file leaves out are automatic; openpyxl gives them as black that nothing shows of.
            front, back = (
                None if colour.type == "rgb" and colour.rgb == "00000000" else self.hex(colour)
                for colour in (cell.fill.fgColor, cell.fill.bgColor)
            )
            fill = mixed(bytes.fromhex(front or "000000"), bytes.fromhex(back or "FFFFFF"), share)
        look = [fill]
        for side in ("top", "right", "bottom", "left"):
            side = getattr(cell.border, side)
            if side is None or side.style in (None, "none"):
                look.append(None)
            else:
                heavy = side.style.startswith("medium") or side.style in ("thick", "double", "slantDashDot")
                look.append([heavy, self.hex(side.color) or "000000"])
        return look


def mixed(front, back, share):
    return bytes(round(f * share + b * (1 - share)) for f, b in zip(front, back)).hex().upper()


def unmerged(path):
    """The workbook with the cells of merged ranges as they stand in the file, which openpyxl draws anew."""
    reader = openpyxl.worksheet._reader.WorksheetReader
    kept = reader.bind_merged_cells
    reader.bind_merged_cells = lambda self: None
    try:
        return openpyxl.load_workbook(path)
    finally:
        reader.bind_merged_cells = kept


def by_openpyxl(path):
    # As a file of bytes, since a name may lie.
    path = io.BytesIO(path.read_bytes())
    book = openpyxl.load_workbook(path, data_only=True)
    formulas = unmerged(path)
    palette = Palette(formulas)
    sheets = []
    for sheet in book.worksheets:
        cells = {}
        styled = formulas[sheet.title]
        looks = {(at[0] - 1, at[1] - 1): palette.look(cell) for at, cell in styled._cells.items()}
        row_looks = [
            (number - 1, number - 1, palette.look(row))
            for number, row in styled.row_dimensions.items()
            if row.has_style
        ]
        column_looks = [
            (column.min - 1, column.max - 1, palette.look(column))
            for column in styled.column_dimensions.values()
            if column.has_style
        ]
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
                "looks": looks,
                "row_looks": row_looks,
                "column_looks": column_looks,
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
    """Has LibreOffice save the files as .xlsx, all in one call, and reads those; the looks of OpenDocument files
    from flat XML, which keeps their lines as wide as they are.
    """
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
        for ending in ("xlsx", "fods"):
            command = ["soffice", f"-env:UserInstallation=file://{home}/user", "--headless", "--convert-to", ending]
            subprocess.run(
                command + ["--outdir", str(out)] + inputs,
                check=True,
                stdout=subprocess.DEVNULL,
                stderr=subprocess.DEVNULL,
            )
        for number, path in enumerate(paths):
            made = out / f"{number}.xlsx"
            if made.exists():
                read[path] = by_openpyxl(made)
                if path.suffix.lower() in (".ods", ".fods"):
                    for sheet, looks in zip(read[path], flat_looks(out / f"{number}.fods"), strict=True):
                        sheet.update(looks)
    return read


def flat_looks(path):
    """Looks, merged ranges and hidden rows and columns of each sheet of a flat XML file."""
    spaces = {}
    for _, (prefix, uri) in xml.etree.ElementTree.iterparse(path, ["start-ns"]):
        spaces[prefix] = f"{{{uri}}}"
    root = xml.etree.ElementTree.parse(path).getroot()

    def named(name):
        prefix, local = name.split(":")
        return spaces.get(prefix, "{}") + local

    said, parents, base = {}, {}, {}
    for style in root.iter():
        if style.get(named("style:family")) != "table-cell":
            continue
        own = {}
        for properties in style.findall(named("style:table-cell-properties")):
            own.update(properties.attrib)
        if style.tag == named("style:default-style"):
            base = own
        elif style.tag == named("style:style"):
            said[style.get(named("style:name"))] = own
            parents[style.get(named("style:name"))] = style.get(named("style:parent-style-name"))

    def look(name):
        whole = [...] * 5
        chain = []
        while name in said and len(chain) < 50:
            chain.append(said[name])
            name = parents[name]
        for own in [*chain, base]:
            edges = [f"fo:border-{side}" for side in ("top", "right", "bottom", "left")]
            for index, attribute in enumerate(["fo:background-color", *edges]):
                text = own.get(named(attribute)) or (own.get(named("fo:border")) if index else None)
                if whole[index] is ... and text is not None:
                    whole[index] = flat_edge(text) if index else text[1:].upper() if text[0] == "#" else None
        return [None if part is ... else part for part in whole]

    for table in root.iter(named("table:table")):
        looks, merges, hidden_rows, hidden_columns, defaults = {}, set(), set(), set(), {}
        at = 0
        for column in table.iter(named("table:table-column")):
            times = int(column.get(named("table:number-columns-repeated"), 1))
            for number in range(at, min(at + times, 1_000)):
                defaults[number] = column.get(named("table:default-cell-style-name"))
                if column.get(named("table:visibility"), "visible") != "visible":
                    hidden_columns.add(number)
            at += times
        row_at = 0
        for row in table.iter(named("table:table-row")):
            times = int(row.get(named("table:number-rows-repeated"), 1))
            if row.get(named("table:visibility"), "visible") != "visible":
                hidden_rows |= set(range(row_at, min(row_at + times, 1_000)))
            of_row = row.get(named("table:default-cell-style-name"))
            at = 0
            for cell in row:
                if cell.tag not in (named("table:table-cell"), named("table:covered-table-cell")):
                    continue
                beside = int(cell.get(named("table:number-columns-repeated"), 1))
                wide = int(cell.get(named("table:number-columns-spanned"), 1))
                high = int(cell.get(named("table:number-rows-spanned"), 1))
                if (wide, high) != (1, 1):
                    merges.add(f"{cell_name(row_at, at)}:{cell_name(row_at + high - 1, at + wide - 1)}")
                for r in range(row_at, row_at + min(times, STRETCH)):
                    for c in range(at, at + min(beside, STRETCH)):
                        looks[r, c] = look(cell.get(named("table:style-name")) or of_row or defaults.get(c))
                at += beside
            row_at += times
        yield {
            "looks": looks,
            "row_looks": None,
            "column_looks": None,
            "merges": merges,
            "hidden_rows": hidden_rows,
            "hidden_columns": hidden_columns,
        }


def flat_edge(text):
    """A line such as "0.74pt solid #000000"; heavy from one and a quarter points."""
    if text == "none":
        return None
    width, style, colour = text.split()
    if width.endswith("pt"):
        points = float(width[:-2])
    else:
        points = float(width[:-2]) * {"cm": 72 / 2.54, "mm": 72 / 25.4, "in": 72}[width[-2:]]
    return [points >= 1.25 or style.startswith("double"), colour[1:].upper()]


READERS = {
    ".xlsx": by_openpyxl,
    ".xlsm": by_openpyxl,
    ".xls": by_xlrd,
    ".csv": by_csv,
    ".tsv": by_csv,
}
OFFICE = {".ods", ".fods", ".xlsb"}


def reader(path):
    """The reader for a file, whose name may say another format than it is of."""
    zipped = path.read_bytes()[:4] == b"PK\x03\x04"
    if path.suffix.lower() in (".csv", ".xlsx") and zipped != (path.suffix.lower() == ".xlsx"):
        return by_openpyxl if zipped else by_csv
    return READERS[path.suffix.lower()]


def near(ours, theirs):
    """Whether two looks are the same but for the rounding of shades."""
    if isinstance(ours, str) and isinstance(theirs, str):
        return all(abs(left - right) <= 1 for left, right in zip(bytes.fromhex(ours), bytes.fromhex(theirs)))
    if isinstance(ours, list) and isinstance(theirs, list):
        return len(ours) == len(theirs) and all(map(near, ours, theirs))
    return ours == theirs


def look_at(sheet, at, cells):
    """The look of a cell: its own, else its row's, else its column's."""
    if at in cells:
        return cells[at]
    for index, kind in enumerate(("row_looks", "column_looks")):
        for first, last, look in sheet[kind] or []:
            if first <= at[index] <= last:
                return look
    return PLAIN


def within_merges(merges):
    """The sides of cells that lie within merged ones, where no program shows a line: by the cell, the places in its look."""
    inner = {}
    for merge in merges:
        left, top, right, bottom = openpyxl.utils.range_boundaries(merge)
        # A merge over whole rows or columns holds no more cells with looks than these.
        for row in range(top, min(bottom, top + 1_000) + 1):
            for column in range(left, min(right, left + 1_000) + 1):
                sides = [(1, row > top), (2, column < right), (3, row < bottom), (4, column > left)]
                inner[row - 1, column - 1] = [side for side, lies_within in sides if lies_within]
    return inner


def looks_apart(name, ours, theirs):
    inner = within_merges(theirs["merges"])
    cells = {(row, column): look for row, column, look in ours["looks"]}
    places = cells.keys() | theirs["looks"].keys()
    # Whole rows and columns, in a cell that stands in no other stretch of the kind.
    if theirs["row_looks"] is not None:
        for sheet in (ours, theirs):
            places |= {(row, 16_000) for first, last, _ in sheet["row_looks"] for row in (first, last)}
            places |= {(1_000_000, column) for first, last, _ in sheet["column_looks"] for column in (first, last)}
    else:
        places = theirs["looks"].keys()
    for at in sorted(places):
        left, right = look_at(ours, at, cells), look_at(theirs, at, theirs["looks"])
        right = [None if side in inner.get(at, ()) else what for side, what in enumerate(right)]
        if not near(left, right):
            yield f"{name} {cell_name(*at)}: look {left}, not {right}"


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
        if "looks" in right:
            for kind in ("hidden_rows", "hidden_columns"):
                if set(left[kind]) != {index for index in right[kind] if index < 1_000}:
                    yield f"{name}: {kind} {left[kind]}, not {sorted(right[kind])}"
            yield from looks_apart(name, left, right)
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
    homes = ("tests/fixtures", "tests/cases/looks", "tests/cases/habits", "corpus")
    roots = [pathlib.Path(path) for path in sys.argv[1:]] or [HOME / home for home in homes]
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
                theirs = reader(path)(path) if path not in office else office[path]
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
