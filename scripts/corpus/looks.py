"""How sheets look: boxes, brackets, greys, colours, hidden lines, wide stitches; tests/cases/looks/NAME/chart.* from
the expected.rows beside it, and the broken cases that need lines or fills."""

import files
from broken import sheet
from chart import Drawing, Fill, Grid, Sheet, draw, settings
from habits import lines

THIN, HAIR = ("thin", "808080"), ("hair", "808080")
THICK, MEDIUM, RED = ("thick", "000000"), ("medium", "000000"), ("thin", "FF0000")
OPPOSITE = {"left": "right", "right": "left", "top": "bottom", "bottom": "top"}
STEP = {"left": (0, -1), "right": (0, 1), "top": (-1, 0), "bottom": (1, 0)}


def line(sheet, place, side, style):
    sheet.borders.setdefault(place, {})[side] = style


def round_about(sheet, cells, style, outside=()):
    """A line round a set of cells, on the cells themselves or, for the sides in `outside`, on their neighbours."""
    for r, c in cells:
        for side, (down, right) in STEP.items():
            beyond = (r + down, c + right)
            if beyond in cells:
                continue
            if side in outside and min(beyond) >= 0:
                sheet.borders.get((r, c), {}).pop(side, None)
                line(sheet, beyond, OPPOSITE[side], style)
            else:
                line(sheet, (r, c), side, style)


def block(grid, first=1, last=None):
    """The squares of chart columns `first` to `last`, counted from the right, in every row."""
    last = last or grid.width
    return {(r, grid.column(c)) for r in grid.lines.values() for c in range(first, last + 1)}


def squares(style=THIN):
    """Thin lines between all squares."""
    def touch(sheet):
        for place in block(sheet.grid):
            for side in STEP:
                line(sheet, place, side, style)
        left = sheet.grid.left
        sheet.square = range(max(left - 1, 0), left + sheet.grid.width + 1)
    return touch


def box(first=1, last=None, style=THICK, outside=()):
    return lambda sheet: round_about(sheet, block(sheet.grid, first, last), style, outside)


def frame(style=THICK):
    return box(style=style)


def ruled(every, from_left=False, style=THICK):
    """Heavy lines to count squares by, in both directions over the whole chart, counted from row 1 up."""
    def touch(sheet):
        grid = sheet.grid
        columns = range(every, grid.width, every)
        lefts = [grid.left + c for c in columns] if from_left else [grid.column(c) for c in columns]
        for r in grid.lines.values():
            for c in lefts:
                line(sheet, (r, c), "left", style)
        for n, r in grid.lines.items():
            if n % every == 0 and n != max(grid.lines):
                for c in range(grid.left, grid.left + grid.width):
                    line(sheet, (r, c), "top", style)
    return touch


def comments(words, column, row):
    """A remark on the chart's cell in a column and a row, and one on the title."""
    def touch(sheet):
        sheet.comments[(sheet.grid.lines[row], sheet.grid.column(column))] = words
        sheet.comments[(0, 0)] = "from the old leaflet"
    return touch


def condition(cells, colour):
    return lambda sheet: sheet.conditions.append((cells, colour))


def travelling(columns, style=THICK):
    """A box that stands on other columns in each row: {row: (first, last)}."""
    def touch(sheet):
        grid = sheet.grid
        cells = {(grid.lines[n], grid.column(c)) for n, (a, b) in columns.items() for c in range(a, b + 1)}
        round_about(sheet, cells, style)
    return touch


def bracket(first, last, words):
    """A merged cell below the columns, with a line round it."""
    def touch(sheet):
        grid = sheet.grid
        below = max(grid.lines.values()) + 1
        left, right = grid.column(last), grid.column(first)
        sheet.put(below, left, words)
        sheet.merged.append((below, left, right))
        round_about(sheet, {(below, c) for c in range(left, right + 1)}, THIN, outside=("top",))
        for c in range(left, right + 1):
            line(sheet, (below - 1, c), "bottom", THIN)
    return touch


def moved(sheet, row=None, column=None, by=1):
    """Makes room for `by` new lines or columns."""
    def to(r, c):
        return (r + by if row is not None and r >= row else r, c + by if column is not None and c >= column else c)
    for name in ("cells", "fills", "borders"):
        setattr(sheet, name, {to(*place): value for place, value in getattr(sheet, name).items()})


def hidden_rows(above, *typed):
    """Lines of an older version, hidden right above the line of a row; each its symbols and its number."""
    def touch(sheet):
        at = sheet.grid.lines[above]
        moved(sheet, row=at, by=len(typed))
        for i, values in enumerate(typed):
            for c, value in enumerate([*values[0].split(), values[1]]):
                sheet.put(at + i, sheet.grid.left + c, value)
                line(sheet, (at + i, sheet.grid.left + c), "bottom", THIN)
            sheet.hidden_rows.append(at + i)
    return touch


def hidden_column(number, symbols):
    """A column of an older version, hidden right before chart column `number`; its symbols from the top."""
    def touch(sheet):
        at = sheet.grid.column(number)
        moved(sheet, column=at)
        for i, symbol in enumerate(symbols):
            place = (min(sheet.grid.lines.values()) + i, at)
            sheet.put(*place, symbol)
            beside = sheet.borders.get((place[0], at - 1), {})
            sheet.borders[place] = {side: beside[side] for side in ("top", "bottom") if side in beside}
        sheet.hidden_columns.append(at)
    return touch


def apart(sheet):
    """A blank column between the chart and each column of row numbers."""
    for column in (sheet.grid.left, sheet.grid.left + sheet.grid.width + 1):
        moved(sheet, column=column)
        if column == sheet.grid.left:
            sheet.grid.left += 1


def framed_key(sheet):
    """A thick line round each square of the key."""
    symbols = {place for place in sheet.cells if place[1] == sheet.grid.left + sheet.grid.width + 2}
    for place in symbols - {min(symbols)}:
        round_about(sheet, {place}, THICK)


def nearly(colour, every, places):
    """Some squares of a colour in a shade that is nearly the same."""
    def touch(sheet):
        like = [place for place in sorted(sheet.fills) if sheet.fills[place] == colour and place in block(sheet.grid)]
        for i in places:
            sheet.fills[like[i]] = every
    return touch


def lace(*more):
    return [(".", "knit"), ("o", "yarn over"), ("/", "k2tog"), ("\\", "ssk"), *more]


LACE = {"k": ".", "yo": "o", "k2tog": "/", "ssk": "\\"}
WOOL = {"navy": "1F4E79", "cream": "F5EBD0", "rust": "A8432B", "moss": "6B7F3A"}
GREY = "D9D9D9"
ROUND = ["Worked: in the round"]
XLSX, ODS, FODS, XLS, XLSB = "chart.xlsx", "chart.ods", "chart.fods", "chart.xls", "chart.xlsb"


def cast_on(stitches, *words):
    return lines(*words, f"Cast on: {stitches}", [])


def grey_key(**options):
    return Drawing(symbols={**LACE, "p": "-"}, key=[*lace(("-", "purl")), (Fill(GREY), "no stitch")], ns="",
                   ns_fill=GREY, no_stitch={3: [4, 7], 4: [4, 7]}, **options)


def stranded(*wool, key=True, **options):
    return Drawing(symbols={"k": "", **options.pop("symbols", {})}, colours=WOOL,
                   key=[*options.pop("words", []), *[(Fill(WOOL[w]), w) for w in wool]] if key else [], **options)


# name: (file, drawing, what is done to the sheet)
CASES = {
    "box-expanded": (XLSX, Drawing(above=cast_on(23, "Reed Bed"), repeat=(3, 3, 3), returns="appear"), [squares(), box(3, 8)]),
    "box-cast-on-as-drawn": (XLSX, Drawing(above=cast_on(11, "Reed Bed"), returns="appear"), [squares(), box(3, 8)]),
    "box-without-cast-on": (XLSX, Drawing(returns="appear"), [squares(), box(3, 8)]),
    "box-and-frame": (XLSX, Drawing(above=cast_on(29, "Reed Bed"), repeat=(3, 4, 3), returns="appear"),
                      [squares(), frame(), box(3, 8)]),
    "frame-alone": (XLSX, Drawing(returns="appear"), [squares(), frame()]),
    "grid-apart-from-its-numbers": (XLSX, Drawing(numbers="both"), [squares(), apart]),
    "grid-of-knit-edges-without-numbers": (XLSX, Drawing(numbers="none"), [squares()]),
    "box-lines-of-neighbours": (XLSX, Drawing(above=cast_on(17), repeat=(3, 2, 3), returns="appear"),
                                [squares(), box(3, 8, outside=("left", "right", "top", "bottom"))]),
    "box-lines-of-either": (XLSX, Drawing(above=cast_on(19), repeat=(2, 4, 2), numbers="sides"),
                            [squares(), box(2, 5, outside=("left",))]),
    "box-red-and-thin": (XLSX, Drawing(above=cast_on(17), repeat=(3, 2, 3), returns="appear"),
                         [squares(("thin", "000000")), box(3, 8, RED)]),
    "box-at-the-right-edge": (XLSX, Drawing(above=cast_on(15), repeat=(1, 3, 3), numbers="sides"), [squares(), box(1, 4)]),
    "box-round-the-whole-chart": (XLSX, Drawing(above=[ROUND, ["Cast on: 32"], []], repeat=(1, 4, 0)), [squares(), box()]),
    "box-in-ods": (ODS, Drawing(above=cast_on(26), repeat=(2, 3, 1), returns="appear"), [squares(), box(2, 9)]),
    "box-in-fods": (FODS, Drawing(above=cast_on(17), repeat=(3, 2, 3), returns="appear"), [squares(), box(3, 8)]),
    "box-in-xls": (XLS, Drawing(above=cast_on(19), repeat=(1, 4, 3)), [squares(), box(1, 4)]),
    "box-numbers-both-sides": (XLSX, Drawing(above=cast_on(15), repeat=(2, 3, 2), numbers="both"), [squares(), box(2, 5)]),
    "box-half-thick-in-the-round": (XLSX, Drawing(above=[ROUND, ["Cast on", 32], []], repeat=(2, 6, 1)),
                                    [squares(HAIR), box(2, 6, MEDIUM)]),
    "box-with-grey-squares": (XLSX, Drawing(
        above=cast_on(16), repeat=(3, 3, 2), ns="", ns_fill=GREY, returns="appear",
        no_stitch={3: [3 + 6 * i + j for i in range(3) for j in (0, 4)]}), [squares(), box(3, 8)]),
    "box-and-framed-key": (XLSX, Drawing(
        symbols=LACE, key=lace(), above=cast_on(17), repeat=(3, 2, 3), returns="appear"), [squares(), box(3, 8), framed_key]),
    "box-with-a-hidden-column": (XLSX, Drawing(
        above=cast_on(17), repeat=(3, 2, 3), returns="appear", column_numbers="bottom"),
        [squares(), box(3, 8), hidden_column(5, ["o", "/", "."])]),
    "travelling-box-to-the-left": (XLSX, Drawing(
        above=cast_on(25), repeat={1: (3, 3, 5), 3: (4, 3, 4), 5: (5, 3, 3)}, returns="appear"),
        [squares(), travelling({1: (3, 8), 3: (4, 9), 5: (5, 10)})]),
    "travelling-box-to-the-right-in-ods": (ODS, Drawing(
        above=cast_on(26), repeat={1: (5, 4, 2), 3: (4, 4, 3), 5: (3, 4, 4)}, returns="appear"),
        [squares(), travelling({1: (5, 9), 3: (4, 8), 5: (3, 7)})]),
    "box-on-a-few-rows": (XLSX, Drawing(numbers="sides"), [squares(), travelling({3: (2, 4)})]),
    "box-round-some-rows": (XLSX, Drawing(numbers="sides"), [squares(), travelling({2: (1, 7), 3: (1, 7)}, RED)]),
    "bracket-below": (XLSX, Drawing(above=cast_on(29), repeat=(3, 4, 3), returns="appear"),
                      [squares(), bracket(3, 8, "6-st repeat")]),
    "bracket-below-in-ods": (ODS, Drawing(above=cast_on(18), repeat=(2, 2, 1), returns="appear"),
                             [squares(), bracket(2, 9, "8-st repeat")]),
    "sentence-of-columns": (XLSX, Drawing(
        above=cast_on(23), repeat=(3, 3, 3), returns="appear", column_numbers="bottom",
        below=lines("Repeat columns 3-8.")), [squares()]),
    "sentence-of-stitches": (XLSX, Drawing(
        above=cast_on(19), repeat=(2, 4, 2), numbers="both", below=lines("Repeat sts 2 to 5")), [squares()]),
    "grey-in-the-key-block": (XLSX, grey_key(numbers="sides"), [squares()]),
    "grey-in-settings-ods": (ODS, Drawing(above=[ROUND, []], ns="", ns_fill=GREY, no_stitch={3: [4, 7], 4: [4, 7]}), [squares()]),
    "grey-in-the-key-block-ods": (ODS, grey_key(above=[ROUND, []], key_at="below"), [squares()]),
    "two-greys-nearly-alike": (XLSX, Drawing(ns="", ns_fill=GREY, no_stitch={3: [4, 7], 4: [4, 7]}),
                               [squares(), nearly(GREY, "D6D6D8", (0, 1))]),
    "colours-in-the-key-block": (XLSX, stranded("navy", "cream", above=lines("Net Loft", ROUND[0], [])), [squares()]),
    "colours-in-settings-flat": (XLSX, stranded(key=False, numbers="sides"), [squares()]),
    "colours-in-the-key-block-ods": (ODS, stranded("rust", "moss", "cream", numbers="both"), [squares()]),
    "colours-in-the-key-block-xls": (XLS, stranded("navy", "cream", above=[ROUND, []], key_at="below"), [squares()]),
    "colours-and-purl-dots": (XLSX, stranded(
        "navy", "cream", symbols={"p": "•"}, words=[("•", "P on RS, K on WS")], above=lines("Spindrift", []), numbers="sides"),
        [squares()]),
    "colours-in-a-red-box": (XLSX, stranded(key=False, above=[ROUND, ["Cast on: 26"], []], repeat=(2, 4, 1)),
                             [squares(), box(2, 7, RED)]),
    "colours-in-a-thick-box-flat": (XLSX, stranded(key=False, above=cast_on(18), repeat=(3, 3, 1), numbers="both"),
                                    [squares(), frame(), box(3, 7)]),
    "colours-nearly-alike": (XLSX, stranded("navy", "cream", above=[ROUND, []]),
                             [squares(), nearly(WOOL["navy"], "204F7A", (1, 5, 9))]),
    "colours-and-words": (XLSX, stranded("rust", "cream", symbols={"p": "x"}, words=[("x", "purl")], above=[ROUND, []]),
                                  [squares()]),
    "comments-on-cells": (XLSX, Drawing(above=lines("Fence", [])), [squares(), comments("moved one to the left", 6, 3)]),
    "comments-on-cells-ods": (ODS, Drawing(above=lines("Fence", [])), [squares(), comments("moved one to the left", 6, 3)]),
    "comments-in-fods": (FODS, Drawing(above=lines("Fence", [])), [squares(), comments("moved one to the left", 6, 3)]),
    "comments-on-cells-xlsb": (XLSB, Drawing(above=lines("Fence", [])), [comments("moved one to the left", 6, 3)]),
    "comments-on-cells-xls": (XLS, Drawing(above=lines("Fence", [])), [squares(), comments("moved one to the left", 6, 3)]),
    "conditional-fills": (XLSX, Drawing(above=lines("Fence", [])), [squares(), condition("A3:I4", GREY)]),
    "conditional-fills-ods": (ODS, Drawing(above=lines("Fence", [])), [squares(), condition("A3:I4", GREY)]),
    "conditional-fills-xls": (XLS, Drawing(above=lines("Fence", [])), [squares(), condition("A3:I4", GREY)]),
    "conditional-fills-of-older-programs-ods": (ODS, Drawing(above=lines("Fence", [])), [squares(), condition("A3:I4", GREY)]),
    "lines-to-count-by": (XLSX, Drawing(numbers="sides"), [squares(), ruled(5)]),
    "lines-to-count-by-from-the-left-ods": (ODS, Drawing(numbers="sides"), [squares(), ruled(5, from_left=True)]),
    "lines-to-count-by-and-a-red-box": (XLSX, Drawing(above=cast_on(33), numbers="sides", repeat=(6, 2, 4)),
                                        [squares(), ruled(10), box(6, 17, RED)]),
    "hidden-rows-in-ods": (ODS, Drawing(numbers="right"), [squares(), hidden_rows(2, (". . - - . . .", 4), (". . - - . . .", 3))]),
    "hidden-rows-in-xls": (XLS, Drawing(numbers="sides"), [squares(), hidden_rows(3, (". - . . . - .", 3))]),
    "hidden-column-inside": (XLSX, Drawing(column_numbers="bottom", returns="appear"), [squares(), hidden_column(5, [".", "o"])]),
    "hidden-column-in-fods": (FODS, Drawing(returns="appear"), [squares(), hidden_column(3, ["o", "/"])]),
    "cables-merged-in-ods": (ODS, Drawing(cables="merged", numbers="sides"), [squares()]),
    "cables-merged-in-fods": (FODS, Drawing(cables="merged"), [squares()]),
    "wide-stitches-merged-in-fods": (FODS, Drawing(
        wide=("kyok", "s2kp"), ns="", ns_fill="C0C0C0", no_stitch={4: [3, 5]}, numbers="both"), [squares()]),
    "six-over-six-merged": (XLSX, Drawing(cables="merged"), [squares()]),
    "six-over-six-in-each-cell": (XLSX, Drawing(numbers="sides"), [squares()]),
    "centre-cable-merged": (XLSX, Drawing(cables="merged"), [squares()]),
    "centre-cable-in-each-cell-ods": (ODS, Drawing(numbers="both"), [squares()]),
}


def typed(*words, top=0, width, rows, merged=(), fills=None):
    """A sheet typed as it is, for the wrong ones: lines above the grid, then the rows, numbered on the right."""
    out = sheet(*[[w] for w in words], *rows, merged=merged)
    out.fills.update(fills or {})
    first = len(words)
    numbers = [int(text.split()[-1]) for text in rows]
    out.grid = Grid(first, 0, width, {n: first + i for i, n in enumerate(numbers)})
    return out


def broken_cases():
    cable = typed(width=8, rows=("- - . . . . - - 4", "- - C _ _ _ - - 3", "- - . . . . - - 2", "- - . . . . - - 1"),
                  merged=[(1, 2, 5)])
    cells = typed(width=10, rows=("- . . . . . . . . - 4", "- C C C C C C C C - 3", "- . . . . . . . . - 2", "- . . . . . . . . - 1"))
    ripple = typed("Ripple", "Cast on: 24", "", width=11, rows=(". . . . . . \\ o . . . 3", ". . . . . . . \\ o . . 1"))
    navy, cream, odd = WOOL["navy"], WOOL["cream"], "C00000"
    picture = ["nccnnc", "ncncnn", "cnnncc", "nnnnnn"]
    wool = typed("Worked: in the round", "", width=6, rows=tuple("_ _ _ _ _ _ %d" % n for n in (4, 3, 2, 1)), fills={
        (2 + r, c): {"n": navy, "c": cream}[x] for r, row in enumerate(picture) for c, x in enumerate(row)})
    wool.fills[(3, 4)] = odd
    grey = typed(width=7, rows=(". . / _ . . . 3", ". . . . . . . 2", ". . . . . . . 1"), fills={(0, 3): "9E9E9E"})
    return {
        "box-cuts-a-cable": (XLSX, cable, [squares(), box(1, 4)]),
        "box-cuts-a-cable-in-each-cell": (ODS, cells, [squares(), box(4, 9)]),
        "box-does-not-fit-the-cast-on": (XLSX, ripple, [squares(), box(3, 8)]),
        "fill-without-key": (XLSX, wool, [squares()]),
        "grey-without-key": (XLSX, grey, [squares()]),
    }


def small_shawl():
    """A shawl with no stitch in grey; its box, and so its repeat, begins above its first rows."""
    rows = ("_ k o k k / o k k k o k 7", "_ _ k o k k / o k o k _ 5", "_ _ _ k o k k k o k _ _ 3", "_ _ _ _ k o k o k _ _ _ 1")
    out = sheet(["Small Shawl"], ["Return rows: purl"], [], *rows, [],
                ["_", "Rows 9-16: Rep Rows 5-8 twice more, working the repeat once more each time."], [],
                ["_", "k", "knit"], ["_", "o", "yarn over"], ["_", "/", "k2tog"], ["_", "_", "no stitch"])
    for r, row in enumerate(rows):
        out.fills.update({(3 + r, c): GREY for c, symbol in enumerate(row.split()) if symbol == "_" and c > 0})
    out.fills[(13, 1)] = GREY
    round_about(out, {(r, c) for r in (3, 4) for c in range(5, 9)}, THICK)
    return out


# Charts of a shape that `draw` knows nothing of, typed square by square.
TYPED = {"box-begins-later": (XLSX, small_shawl)}


def touched(out, touches):
    for touch in touches:
        touch(out)
    return out


def put(out, path):
    files.write([out], path, **({"by": "office"} if path.suffix == ".xls" else {}))


def make(root):
    home = root / "tests" / "cases" / "looks"
    folders = {p.name for p in home.iterdir() if p.is_dir()}
    drawings = set(CASES) | set(TYPED)
    if folders != drawings:
        raise SystemExit(f"looks: folders and drawings differ: {folders ^ drawings}")
    for name, (file, drawing) in TYPED.items():
        put(drawing(), home / name / file)
    for name, (file, drawing, touches) in CASES.items():
        folder = home / name
        out = Sheet()
        draw(folder / "expected.rows", drawing, settings(folder, folder), out)
        put(touched(out, touches), folder / file)
        if "older-programs" in name:
            files.without_extensions(folder / file)
    for name, (file, out, touches) in broken_cases().items():
        put(touched(out, touches), root / "tests" / "cases" / "broken" / name / file)
