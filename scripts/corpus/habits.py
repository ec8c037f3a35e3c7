"""Odd but readable sheets: tests/cases/habits/NAME/chart.* from the expected.rows beside it."""

import datetime

import files
from chart import Drawing, Formula, Sheet, draw, settings


def lines(*words):
    return [w if isinstance(w, list) else [w] for w in words]


LACE_KEY = [(".", "knit"), ("o", "yarn over"), ("/", "k2tog"), ("\\", "ssk")]
LACE = {"k": ".", "yo": "o", "k2tog": "/", "ssk": "\\"}


def keyed(**options):
    return Drawing(symbols=LACE, key=options.pop("key", LACE_KEY), **options)


def spaces(sheet):
    """Spaces and non-breaking spaces, a different one in each cell."""
    dirt = [" {}", "{} ", "\u00a0{}", "{}\u00a0", "{}", " {}\u00a0"]
    for i, place in enumerate(sorted(sheet.cells)):
        if isinstance(sheet.cells[place], str):
            sheet.cells[place] = dirt[i % len(dirt)].format(sheet.cells[place])


def every_second_capital(sheet):
    for i, place in enumerate(sorted(sheet.cells)):
        value = sheet.cells[place]
        if isinstance(value, str):
            sheet.cells[place] = value.upper() if i % 2 else value.lower()


def replaced(**values):
    def touch(sheet):
        for place, value in sheet.cells.items():
            if value in values:
                sheet.cells[place] = values[value]
    return touch


def numbers(sheet):
    for place, value in sheet.cells.items():
        if isinstance(value, str) and value.isdigit():
            sheet.cells[place] = int(value)


def floats(sheet):
    for place, value in sheet.cells.items():
        if isinstance(value, str) and value.isdigit():
            sheet.cells[place] = float(value)


def dates(text, day):
    def touch(sheet):
        for place, value in sheet.cells.items():
            if value == text:
                sheet.cells[place] = day
    return touch


def shifted(down, right):
    def touch(sheet):
        sheet.cells = {(r + down, c + right): v for (r, c), v in sheet.cells.items()}
    return touch


def hidden_row(sheet):
    """Row 3 as it was before, hidden between rows 3 and 1."""
    sheet.cells = {(r + (r > 0), c): v for (r, c), v in sheet.cells.items()}
    for c, symbol in enumerate([".", ".", "\\", "o", ".", "o", "/", ".", "."]):
        sheet.put(1, c, symbol)
    sheet.put(1, 9, 3)
    sheet.hidden_rows.append(1)


def hidden_column(sheet):
    sheet.cells = {(r, c + (c > 8)): v for (r, c), v in sheet.cells.items()}
    for r in (0, 1):
        sheet.put(r, 9, 9)
    sheet.hidden_columns.append(9)


def formulas(sheet):
    sheet.cells[(0, 9)] = Formula("=J2+2")


def greyed(sheet):
    for r in (0, 1):
        for c in (2, 6):
            sheet.fills[(r, c)] = "D9D9D9"


def title_over_chart(sheet):
    sheet.merged.append((0, 0, 9))


CSV, XLSX, ODS = "chart.csv", "chart.xlsx", "chart.ods"

# name: (file, file options, [(sheet name, drawing or lines)], what is done to the first sheet)
CASES = {
    "label-row-word": (CSV, {}, [("", Drawing(label="Row {n}"))], None),
    "label-letter": (CSV, {}, [("", Drawing(label="R{n}"))], None),
    "label-side-in-brackets": (CSV, {}, [("", Drawing(label="{n} ({side})", numbers="sides"))], None),
    "label-row-and-side": (CSV, {}, [("", Drawing(label="Row {n} {side}"))], None),
    "label-full-stop": (CSV, {}, [("", Drawing(label="{n}."))], None),
    "label-floats": (CSV, {}, [("", Drawing(label="float"))], None),
    "numbers-both-sides": (CSV, {}, [("", Drawing(numbers="both"))], None),
    "numbers-alternate": (CSV, {}, [("", Drawing(numbers="sides"))], None),
    "numbers-left-only": (CSV, {}, [("", Drawing(numbers="left"))], None),
    "numbers-none": (CSV, {}, [("", Drawing(numbers="none"))], None),
    "numbers-run-down": (CSV, {}, [("", Drawing(top_first=True))], None),
    "first-row-top-unnumbered": (CSV, {}, [("", Drawing(top_first=True, numbers="none"))], None),
    "first-side-by-numbers": (CSV, {}, [("", Drawing(numbers="sides"))], None),
    "columns-numbered-above": (CSV, {}, [("", Drawing(column_numbers="top"))], None),
    "columns-numbered-below": (XLSX, {}, [("", Drawing(column_numbers="bottom", numbers="both"))], None),
    "spaces-and-nbsp": (CSV, {}, [("", Drawing())], spaces),
    "mixed-case": (CSV, {}, [("", Drawing())], every_second_capital),
    "case-matters": (CSV, {}, [("", Drawing())], None),
    "curly-quotes": (CSV, {}, [("", Drawing())], replaced(**{"'": "\u2019", '"': "\u201d"})),
    "digits-as-symbols": (XLSX, {}, [("", Drawing(above=lines("Fence", [])))], numbers),
    "digits-as-floats": (CSV, {}, [("", Drawing(above=lines("Fence", [])))], floats),
    "date-from-crossing": (XLSX, {}, [("", Drawing(numbers="sides"))], dates("1/1", datetime.date(2020, 1, 1))),
    "date-in-csv": (CSV, {}, [("", Drawing(numbers="sides"))], dates("2/2", "2-Feb")),
    "unicode-shapes": (CSV, {}, [("", Drawing())], None),
    "names-as-symbols": (CSV, {}, [("", Drawing())], every_second_capital),
    "title-setting": (CSV, {}, [("", Drawing(above=lines("Title: Little Fence", "The first of three fences", [])))], None),
    "title-and-blurb": (CSV, {}, [("", Drawing(above=lines(
        "Thornsay Harbour Leaflets, number 12", "All charts are read from the right", [],
        ["Cast on", 9], "Fence, second version", "Try it on larger needles too", [])))], None),
    "title-of-sheet": (ODS, {}, [
        ("Fence", Drawing()), ("Notes", lines("Ask about the wool.", "Photographs are with the printer."))], None),
    "settings-in-two-cells": (CSV, {}, [("", Drawing(above=[["Cast on", 9], ["Return rows:", "purl"], ["Hand", "right"], []]))], None),
    "settings-odd-spelling": (CSV, {}, [("", Drawing(below=lines("WORKED : In the Round", "CAST-ON: 6", "first row:  Bottom")))], None),
    "key-words": (CSV, {}, [("", Drawing(
        above=lines("Sampler", []), align="right", key_at="below",
        symbols={"k": "k", "p": "p", "ktbl": "b", "k2tog": "/", "ssk": "\\", "yo": "o", "sk2p": "A", "s2kp": "^",
                 "kfb": "f", "m1": "m", "sl1wyib": "s", "kyok": "3"},
        key=[("k", "K on RS, P on WS"), ("p", "P on RS, K on WS"), ("b", "k tbl"), ("/", "knit 2 together"),
             ("\\", "slip, slip, knit"), ("o", "yarn over"), ("A", "sl 1, k2tog, psso"), ("^", "s2kp"),
             ("f", "knit front and back"), ("m", "make 1"), ("s", "sl 1 wyib"), ("3", "(k1, yo, k1) in one st")]))], None),
    "key-without-heading": (CSV, {}, [("", keyed(key_heading=None))], None),
    "key-with-headings": (XLSX, {}, [("", keyed(key_heading=None, key=[("Symbol", "Meaning"), *LACE_KEY]))], None),
    "key-three-columns": (XLSX, {}, [("", Drawing(
        symbols={"k": ".", "p": "-", "ktbl": "t"}, edges=(("g",), ("g",)), numbers="sides", key_heading=None,
        key=[("Symbol", "RS", "WS"), (".", "knit", "purl"), ("-", "purl", "knit"), ("g", "knit", "knit"),
             ("t", "k tbl", "p tbl")]))], None),
    "key-three-columns-bare": (CSV, {}, [("", Drawing(
        symbols={"k": ".", "p": "-", "ktbl": "t"}, edges=(("E",), ("E",)), numbers="sides", key_heading=None,
        key_at="below", key=[(".", "k", "p"), ("-", "p", "k"), ("E", "knit", "sl 1 wyif"), ("t", "k tbl", "p tbl")]))], None),
    "key-abbreviation-and-words": (CSV, {}, [("", Drawing(
        symbols=LACE, numbers="sides", key_heading=None, key_at="below",
        key=[(".", "k", "knit"), ("o", "yo", "yarn over"), ("/", "k2tog", "knit 2 together"),
             ("\\", "ssk", "slip, slip, knit")]))], None),
    "key-empty-square": (CSV, {}, [("", Drawing(
        symbols={**LACE, "k": ""}, key=[("", "K on RS, P on WS"), *LACE_KEY[1:]], key_at="below", numbers="both"))], None),
    "key-on-its-own-sheet": (ODS, {}, [("Chart", Drawing(symbols=LACE, above=lines("Fence", []))), ("key", [list(k) for k in LACE_KEY])], None),
    "key-sheet-wins": (CSV, {}, [("", keyed(key_at="below"))], None),
    "notes-below": (CSV, {}, [("", Drawing(below=lines(
        "Materials", "2 balls of island wool", "Needles: 4 mm", "Repeat these four rows until the wool is nearly gone.",
        "Block well!")))], None),
    "blank-is-knit-rectangle": (CSV, {}, [("", Drawing(numbers="both"))], None),
    "blank-is-knit-ragged": (CSV, {}, [("", Drawing(align="centre"))], None),
    "ragged-no-key": (CSV, {}, [("", Drawing(align="centre"))], None),
    "grey-is-no-stitch": (XLSX, {}, [("", Drawing(no_stitch={3: [3, 7], 4: [3, 7]}, ns=""))], greyed),
    "blank-is-no-stitch": (CSV, {}, [("", Drawing(no_stitch={3: [3, 7], 4: [3, 7]}, ns=""))], None),
    "decrease-as-wide-as-it-uses": (XLSX, {}, [("", Drawing(wide=("s2kp",), no_stitch={4: [3, 5]}, ns="#"))], None),
    "cable-each-cell": (CSV, {}, [("", Drawing())], None),
    "cable-blanks": (CSV, {}, [("", Drawing(cables="blanks"))], None),
    "cable-merged": (XLSX, {}, [("", Drawing(cables="merged"))], None),
    "cable-among-blank-knits": (CSV, {}, [("", Drawing())], None),
    "decreases-side-by-side": (CSV, {}, [("", Drawing(numbers="sides"))], None),
    "as-worked": (CSV, {}, [("", Drawing(as_worked=True, numbers="sides"))], None),
    "garter-both-sides": (CSV, {}, [("", Drawing(edges=(("g", "g"), ("g", "g")), numbers="both"))], None),
    "twisted-rib": (CSV, {}, [("", Drawing(numbers="sides"))], None),
    "knit-returns-double-yarn-over": (CSV, {}, [("", Drawing(returns="knit"))], None),
    "round-double-yarn-over": (CSV, {}, [("", Drawing(returns="appear"))], None),
    "skipped-knit-rounds": (CSV, {}, [("", Drawing())], None),
    "two-side-by-side": (CSV, {}, [
        ("", Drawing(above=lines("Fence", []))), ("", Drawing(above=lines("Wall", [])))], None),
    "two-stacked": (CSV, {}, [
        ("", Drawing(above=lines("Fence", []))), ("", Drawing(above=lines("Wall", [])))], None),
    "sizes-cut-by-commas": (CSV, {}, [("", Drawing(
        above=lines("Ripple hem", ["Sizes: S = 2", " M = 3", " L = 4"], "Repeat columns: 2-4", []), numbers="sides",
        repeat=(2, 2, 1)))], None),
    "return-rows-cut-by-commas": (CSV, {}, [("", Drawing(
        above=lines("Fence", ["Return rows: K3", " p to last 3 sts", " k3"], "Cast on: 9", [])))], None),
    "return-rows-as-they-appear-cut-by-a-comma": (CSV, {}, [("", Drawing(
        above=lines("Fence", ["Return rows: k the knits", " p the purls"], [])))], None),
    "two-row-charts-without-a-line-between": (CSV, {}, [("", Drawing()), ("", Drawing())], None),
    "three-row-charts-without-a-line-between": (CSV, {}, [
        ("", Drawing(numbers="both")), ("", Drawing(numbers="both"))], None),
    "two-row-charts-alternate-without-a-line-between": (CSV, {}, [
        ("", Drawing(numbers="sides")) for _ in range(3)], None),
    "two-row-charts-alternate": (CSV, {}, [
        ("", Drawing(above=lines(title), numbers="sides")) for title in ("Hem", "Cuff", "Collar")], None),
    "away-from-the-corner": (XLSX, {}, [("", Drawing())], shifted(6, 4)),
    "hidden-row": (XLSX, {}, [("", Drawing())], hidden_row),
    "hidden-column": (XLSX, {}, [("", Drawing())], hidden_column),
    "formula-numbers": (ODS, {}, [("", Drawing())], formulas),
    "merged-title": (XLSX, {}, [("", Drawing(above=lines("Fence", [])))], title_over_chart),
    "quoted-everything": (CSV, {"quote_all": True, "bom": True, "newline": "\r\n"}, [("", Drawing())], None),
    "semicolons": (CSV, {"delimiter": ";"}, [("", Drawing())], None),
    "tabs-in-csv": (CSV, {"delimiter": "\t"}, [("", Drawing())], None),
    "windows-1252": (CSV, {"encoding": "cp1252", "newline": "\r\n"}, [("", Drawing())], None),
    "utf-16-big-endian": (CSV, {"encoding": "utf-16-be", "bom": True}, [("", Drawing())], None),
    "repeat-without-cast-on": (CSV, {}, [("", Drawing(returns="appear"))], None),
    "csv-called-xlsx": (XLSX, {"by": "csv"}, [("", Drawing())], None),
    "xlsx-called-csv": (CSV, {"by": "xlsx"}, [("", Drawing())], None),
    "left-handed": (CSV, {}, [("", Drawing(hand="left", numbers="sides"))], None),
}


def make(root):
    home = root / "tests" / "cases" / "habits"
    folders = {p.name for p in home.iterdir() if p.is_dir()}
    if folders != set(CASES):
        raise SystemExit(f"habits: folders and drawings differ: {folders ^ set(CASES)}")
    for name, (file, how, parts, touch) in CASES.items():
        folder = home / name
        toml = settings(folder, folder)
        charts = [p for p in parts if isinstance(p[1], Drawing)]
        sheets, number, below, beside = {}, 0, 0, 0
        for sheet_name, part in parts:
            sheet = sheets.setdefault(sheet_name, Sheet(sheet_name or "Sheet1"))
            if isinstance(part, Drawing):
                rows = f"expected.{'ABC'[number]}.rows" if len(charts) > 1 else "expected.rows"
                end = draw(folder / rows, part, toml, sheet, top=below, left=beside)
                number += 1
                if name == "two-side-by-side":
                    beside = sheet.size()[1] + 2
                else:
                    below = end + (0 if name.endswith("without-a-line-between") else 2)
            else:
                for r, line in enumerate(part):
                    for c, value in enumerate(line):
                        sheet.put(r, c, value)
        if touch:
            touch(next(iter(sheets.values())))
        files.write(list(sheets.values()), folder / file, **how)
