#!/usr/bin/env python3
"""Makes the spreadsheets in tests/fixtures with programs other than longhand.

    python3 scripts/outside/make_fixtures.py [FOLDER]

Needs the packages of requirements.txt, LibreOffice (soffice) for .ods, .fods and the re-saved files, and, for
.xlsb, node with the package xlsx (its folder in NODE_PATH). What a tool is missing for is left as it is.
openpyxl, xlwt and csv files come out the same every time; LibreOffice's differ in their dates.
"""

import datetime
import io
import os
import pathlib
import shutil
import subprocess
import sys
import tempfile
import zipfile

import msoffcrypto.format.ooxml
import openpyxl
import openpyxl.cell.rich_text
import openpyxl.styles
import xlwt

STAMP = datetime.datetime(2020, 1, 1)
HOME = pathlib.Path(__file__).resolve().parents[2]
OUT = pathlib.Path(sys.argv[1]) if len(sys.argv) > 1 else HOME / "tests" / "fixtures"

# A small lace chart: title, rows numbered on both sides, a cable three cells wide in row 3.
LEAVES = [
    ["Small leaves"],
    [],
    ["", "k", "2/1 rc", "", "", "yo", "k", 3],
    [2, "k", "k", "k", "k", "k", "k", ""],
    ["", "k", "yo", "k2tog", "\u25cb", "/", "-", 1],
    [],
    ["Cast on: 6"],
    ["Symbols", "<&>", "  k  ", "\u00a0", "\u2019", "line\nbreak", "\u8868"],
]


def stamped(path):
    """Gives every part of a zipped file the same date, so that the file is the same every time."""
    data = path.read_bytes()
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(data)) as source, zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as target:
        for item in source.infolist():
            info = zipfile.ZipInfo(item.filename, (2020, 1, 1, 0, 0, 0))
            info.compress_type = item.compress_type
            target.writestr(info, source.read(item.filename))
    path.write_bytes(out.getvalue())


def save(book, name):
    book.properties.created = STAMP
    book.properties.modified = STAMP
    path = OUT / name
    book.save(path)
    # The library stamps the time of saving whatever it is told.
    with zipfile.ZipFile(path) as source:
        parts = {item: source.read(item) for item in source.namelist()}
    core = parts["docProps/core.xml"].decode()
    start = core.index("<dcterms:modified")
    start = core.index(">", start) + 1
    parts["docProps/core.xml"] = (core[:start] + "2020-01-01T00:00:00Z" + core[core.index("<", start) :]).encode()
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as target:
        for item, data in parts.items():
            target.writestr(zipfile.ZipInfo(item, (2020, 1, 1, 0, 0, 0)), data, zipfile.ZIP_DEFLATED)


def fill_sheet(sheet):
    for row, line in enumerate(LEAVES, 1):
        for column, value in enumerate(line, 1):
            if value != "":
                sheet.cell(row, column, value)
    sheet.merge_cells("C3:E3")


def xlsx():
    book = openpyxl.Workbook()
    sheet = book.active
    sheet.title = "Chart"
    fill_sheet(sheet)
    key = book.create_sheet("Key")
    for row, (symbol, words) in enumerate([("k", "K on RS, P on WS"), ("\u25cb", "yarn over"), ("/", "k2tog")], 2):
        key.cell(row, 2, symbol)
        key.cell(row, 3, words)
    away = book.create_sheet("Old")
    away.sheet_state = "hidden"
    away["B2"] = "k"
    save(book, "leaves.xlsx")

    # Every kind of value a cell may hold.
    book = openpyxl.Workbook()
    sheet = book.active
    sheet.title = "Values"
    for row, value in enumerate(
        [3.0, 1.5, -2, 1e21, True, False, "text", "3", "=1+2", datetime.date(2026, 1, 2), datetime.date(1900, 3, 1)], 1
    ):
        sheet.cell(row, 1, value)
    sheet["A12"] = datetime.datetime(2026, 2, 1, 12, 30)
    sheet["A13"] = datetime.time(6, 0)
    sheet["A14"] = 46024
    sheet["A14"].number_format = "d/m"
    sheet["A15"] = 46024
    sheet["A15"].number_format = '"day "0'
    sheet["A16"] = "#NAME?"
    sheet["A17"] = openpyxl.cell.rich_text.CellRichText(
        "k", openpyxl.cell.rich_text.TextBlock(openpyxl.cell.text.InlineFont(b=True), "2tog")
    )
    save(book, "values.xlsx")

    # The far corner of the sheet, and a merged range down to its end.
    book = openpyxl.Workbook()
    sheet = book.active
    sheet["A1"] = "k"
    sheet["XFD1048576"] = "far"
    sheet.merged_cells.add("C1:D1048576")
    save(book, "far-corner.xlsx")

    # Fills by colour, by theme and by palette, a red box, a hidden row and column, a filled column and row.
    book = openpyxl.Workbook()
    sheet = book.active
    sheet.title = "Looks"
    fill = openpyxl.styles.PatternFill
    colour = openpyxl.styles.colors.Color
    for row in range(2, 6):
        for column in range(2, 7):
            sheet.cell(row, column, "k")
    sheet["B2"].fill = fill("solid", fgColor="D9D9D9")
    sheet["C2"].fill = fill("solid", fgColor=colour(theme=4, tint=-0.249977111117893))
    sheet["D2"].fill = fill("solid", fgColor=colour(indexed=22))
    sheet["E2"].fill = fill("gray125")
    sheet["F2"].fill = fill("solid", fgColor="FFFFFF")
    red = openpyxl.styles.Side(style="thick", color="FF0000")
    thin = openpyxl.styles.Side(style="thin")
    for row in range(3, 6):
        for column in range(3, 5):
            sheet.cell(row, column).border = openpyxl.styles.Border(
                left=red if column == 3 else thin,
                right=red if column == 4 else thin,
                top=red if row == 3 else thin,
                bottom=red if row == 5 else thin,
            )
    sheet["H4"].fill = fill("solid", fgColor="1F4E79")
    sheet.row_dimensions[7].hidden = True
    sheet.column_dimensions["J"].hidden = True
    sheet.column_dimensions["L"].fill = fill("solid", fgColor="FFFF00")
    sheet.row_dimensions[9].fill = fill("solid", fgColor="00FF00")
    save(book, "looks.xlsx")

    # Every style of line, with colours by their parts, by theme, by palette and left to the program; every pattern.
    book = openpyxl.Workbook()
    sheet = book.active
    sheet.title = "Edges"
    colours = [None, colour(rgb="FFC00000"), colour(theme=5), colour(theme=1, tint=0.349986266670736), colour(indexed=12)]
    colours += [colour(indexed=64), colour(auto=True)]
    side = openpyxl.styles.Side
    for row, style in enumerate(sorted(side.style.values - {None}), 1):
        for column, of_line in enumerate(colours):
            line = side(style=style, color=of_line)
            name = ("top", "right", "bottom", "left")[(row + column) % 4]
            sheet.cell(row * 2, column * 2 + 2).border = openpyxl.styles.Border(**{name: line})
    patterns = sorted(openpyxl.styles.PatternFill.patternType.values - {None})
    for row, pattern in enumerate(patterns, 1):
        sheet.cell(row, 20).fill = fill(pattern)
        sheet.cell(row, 21).fill = fill(pattern, fgColor="1F4E79")
        sheet.cell(row, 22).fill = fill(pattern, fgColor=colour(theme=9, tint=0.6), bgColor=colour(indexed=13))
    sheet.cell(2, 24).fill = openpyxl.styles.GradientFill(stop=("FFFFFF", "1F4E79"))
    save(book, "edges.xlsx")

    # Dates counted from 1904.
    book = openpyxl.Workbook()
    book.epoch = openpyxl.utils.datetime.CALENDAR_MAC_1904
    book.active["B3"] = datetime.date(2026, 1, 2)
    save(book, "mac-dates.xlsx")


def xls():
    def number_format(text):
        style = xlwt.XFStyle()
        style.num_format_str = text
        return style

    book = xlwt.Workbook(encoding="utf-8")
    sheet = book.add_sheet("Chart")
    for row, line in enumerate(LEAVES):
        for column, value in enumerate(line):
            if value != "" and (row, column) != (2, 2):
                sheet.write(row, column, value)
    sheet.write_merge(2, 2, 2, 4, "2/1 rc")
    values = book.add_sheet("Values")
    for row, value in enumerate([3.0, 1.5, -2, True, False, "3"]):
        values.write(row + 4, 3, value)
    values.write(10, 3, datetime.date(2026, 1, 2), number_format("d/m"))
    values.write(11, 3, 46024, number_format('"day "0'))
    values.write(12, 3, xlwt.Formula("1+2"))
    away = book.add_sheet("Old")
    away.visibility = 1
    away.write(1, 1, "k")
    book.save(str(OUT / "leaves.xls"))

    book = xlwt.Workbook()
    sheet = book.add_sheet("Colours")
    sheet.write(0, 0, "k")
    sheet.write(0, 1, "", xlwt.easyxf("pattern: pattern solid, fore_colour gray25"))
    book.save(str(OUT / "filled.xls"))

    book = xlwt.Workbook()
    sheet = book.add_sheet("Corners")
    sheet.write(0, 0, "k")
    sheet.write(65535, 255, "k")
    book.save(str(OUT / "far-corners.xls"))


def csv_files():
    rows = ["", "Small leaves;;;;;;;", "", ";k;2/1 rc;;;yo;k;3", "2;k;k;k;k;k;k;", ";k;;yo;k2tog;\u00d7;\u2013;1"]
    text = "\r\n".join(rows) + "\r\n"
    (OUT / "leaves-semicolons.csv").write_bytes(text.encode("utf-8"))
    (OUT / "leaves-marked.csv").write_bytes(text.encode("utf-8-sig"))
    (OUT / "leaves-western.csv").write_bytes(text.encode("cp1252"))
    (OUT / "leaves-utf16.csv").write_bytes(b"\xff\xfe" + text.replace(";", "\t").encode("utf-16-le"))
    (OUT / "leaves-unmarked-utf16.csv").write_bytes(text.replace("\r\n", "\n").encode("utf-16-be"))
    (OUT / "leaves-old-mac.csv").write_bytes(text.replace(";", ",").replace("\r\n", "\r").encode("utf-8"))
    (OUT / "leaves.tsv").write_bytes(text.replace(";", "\t").encode("utf-8"))
    (OUT / "symbols.csv").write_text(
        'sep=,\n3,k,;,|,"""",3\n2,;,k,"k,\n2",|,2\n1,|,";",k,k,1\n', encoding="utf-8", newline=""
    )


def office():
    if not shutil.which("soffice"):
        print("no soffice: .ods and .fods are left as they are", file=sys.stderr)
        return
    with tempfile.TemporaryDirectory() as home:
        for name, ending, target in [
            ("leaves.xlsx", "ods", "leaves.ods"),
            ("leaves.xlsx", "fods", "leaves.fods"),
            ("values.xlsx", "ods", "values.ods"),
            ("looks.xlsx", "ods", "looks.ods"),
            ("looks.xlsx", "fods", "looks.fods"),
            ("looks.xlsx", "xls", "looks.xls"),
            ("edges.xlsx", "ods", "edges.ods"),
            ("leaves.xlsx", "xls", "leaves-office.xls"),
            ("leaves.xlsx", "xlsx", "leaves-office.xlsx"),
        ]:
            subprocess.run(
                ["soffice", f"-env:UserInstallation=file://{home}/user", "--headless", "--convert-to", ending]
                + ["--outdir", home, str(OUT / name)],
                check=True,
                stdout=subprocess.DEVNULL,
                stderr=subprocess.DEVNULL,
            )
            made = pathlib.Path(home) / f"{pathlib.Path(name).stem}.{ending}"
            shutil.move(made, OUT / target)
            if ending in ("ods", "xlsx"):
                stamped(OUT / target)


def xlsb():
    script = """
        const xlsx = require('xlsx');
        const [source, target] = process.argv.slice(1);
        xlsx.writeFile(xlsx.readFile(source, {cellDates: false, cellNF: true, cellStyles: true}), target, {bookType: 'xlsb'});
    """
    for name in ("leaves", "values", "looks"):
        command = ["node", "-e", script, str(OUT / f"{name}.xlsx"), str(OUT / f"{name}.xlsb")]
        if subprocess.run(command, env=os.environ, check=False, stderr=subprocess.DEVNULL).returncode:
            print(f"no node with xlsx: {name}.xlsb is left as it is", file=sys.stderr)
        else:
            if name == "looks":
                xlsb_styles(OUT / "looks.xlsb")
            stamped(OUT / f"{name}.xlsb")


def xlsb_styles(path):
    """Puts one look on all cells, since the program that writes the file writes no looks: filled with the theme's
    white a little darker, thick red above, a thin line on the left. LibreOffice shows it so.
    """

    def record(kind, data=b""):
        head = bytes([kind]) if kind < 128 else bytes([kind & 127 | 128, kind >> 7])
        return head + bytes([len(data)]) + data

    def group(first, last, *entries):
        return record(first, len(entries).to_bytes(4, "little")) + b"".join(entries) + record(last)

    auto = bytes(8)
    darker_white = bytes([7, 0]) + (-4916).to_bytes(2, "little", signed=True) + b"\xff\xff\xff\xff"
    red = b"\x05\0\0\0\xff\0\0\xff"
    rest = bytes(48)
    fills = [number.to_bytes(4, "little") + colour + auto + rest for number, colour in ((0, auto), (17, auto), (1, darker_white))]
    line = [bytes(10), b"\x05\0" + red, b"\x01\0" + auto]
    borders = [b"\0" + line[0] * 5, b"\0" + line[1] + line[0] + line[2] + line[0] * 2]
    font = (220).to_bytes(2, "little") + b"\0\0" + (400).to_bytes(2, "little") + bytes(6) + b"\x07\x01" + bytes(6) + b"\0\x05\0\0\0" + "Arial".encode("utf-16-le")

    def xf(parent, fill, border):
        words = (parent, 0, 0, fill, border)
        return b"".join(word.to_bytes(2, "little") for word in words) + b"\0\0" + b"\x10\x10" + b"\x3f\0"

    styles = (
        record(278)
        + group(611, 612, record(43, font))
        + group(603, 604, *(record(45, fill) for fill in fills))
        + group(613, 614, *(record(46, border) for border in borders))
        + group(626, 627, record(47, xf(0xFFFF, 0, 0)))
        + group(617, 618, record(47, xf(0, 2, 1)))
        + record(279)
    )
    with zipfile.ZipFile(path) as source:
        parts = {item: source.read(item) for item in source.namelist()}
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as target:
        for item, data in parts.items():
            target.writestr(item, styles if item == "xl/styles.bin" else data)


def five_formats():
    """One chart in five formats: a thick box round the repeat, grey squares of no stitch, a cable in one merged cell,
    rows numbered on both sides, a key beside it.
    """
    home = OUT / "five-formats"
    home.mkdir(exist_ok=True)
    book = openpyxl.Workbook()
    sheet = book.active
    sheet.title = "Chart"
    grey = openpyxl.styles.PatternFill("solid", fgColor="D9D9D9")
    thin, thick = (openpyxl.styles.Side(style=style) for style in ("thin", "thick"))
    sheet["A1"] = "Reed bed"
    sheet["A2"] = "Cast on: 16"
    rows = {4: [None, *"...", "2/2 rc", None, None, None, *"o..", 3], 5: [2, *"...-...#..", None], 6: [None, *"....../#..", 1]}
    for row, line in rows.items():
        for column, value in enumerate(line, 1):
            cell = sheet.cell(row, column, None if value == "#" else value)
            if value == "#":
                cell.fill = grey
            if 2 <= column <= 11:
                cell.border = openpyxl.styles.Border(
                    left=thick if column == 4 else thin,
                    right=thick if column == 9 else thin,
                    top=thick if row == 4 and 4 <= column <= 9 else thin,
                    bottom=thick if row == 6 and 4 <= column <= 9 else thin,
                )
    sheet.merge_cells("E4:H4")
    key = [("Key", None), (".", "knit"), ("-", "purl"), ("o", "yarn over"), ("/", "k2tog"), (None, "no stitch")]
    for row, (symbol, words) in enumerate(key, 4):
        sheet.cell(row, 14, symbol)
        sheet.cell(row, 15, words)
    sheet["N9"].fill = grey
    save(book, "five-formats/chart.xlsx")
    if not shutil.which("soffice"):
        print("no soffice: the other formats of the chart are left as they are", file=sys.stderr)
        return
    with tempfile.TemporaryDirectory() as user:
        for ending in ("ods", "fods", "xls", "csv"):
            subprocess.run(
                ["soffice", f"-env:UserInstallation=file://{user}", "--headless", "--convert-to", ending]
                + ["--outdir", str(home), str(home / "chart.xlsx")],
                check=True,
                stdout=subprocess.DEVNULL,
                stderr=subprocess.DEVNULL,
            )
    stamped(home / "chart.ods")


def locked():
    """Behind a password, with random salts: made once."""
    target = OUT / "locked.xlsx"
    if not target.exists():
        with open(OUT / "mac-dates.xlsx", "rb") as source, open(target, "wb") as out:
            msoffcrypto.format.ooxml.OOXMLFile(source).encrypt("yarn", out)


if __name__ == "__main__":
    OUT.mkdir(parents=True, exist_ok=True)
    xlsx()
    xls()
    csv_files()
    office()
    xlsb()
    five_formats()
    locked()
