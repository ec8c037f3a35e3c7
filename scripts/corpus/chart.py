"""Draws a chart from the rows as worked: the way back from what longhand does.

RS rows are laid from right to left, WS rows are turned into the look they have from the RS.
"""

import tomllib
from pathlib import Path

from rows import LOOK_OF_WS, Rows, counts, is_crossing, mirror, returned


class Formula(str):
    """A value that the spreadsheet works out."""


class Fill:
    """A filled square, empty or with a symbol."""

    def __init__(self, colour, symbol=""):
        self.colour, self.symbol = colour, symbol


class Grid:
    """Where a chart stands on its sheet: the first line and column, the width, and the line of each row number."""

    def __init__(self, top, left, width, lines):
        self.top, self.left, self.width, self.lines = top, left, width, lines

    def column(self, number):
        """The sheet's column of a chart column counted from the right."""
        return self.left + self.width - number


class Sheet:
    """Values by (row, column), both from 0, with merged cells [(row, first column, last column)]."""

    def __init__(self, name="Sheet1"):
        self.name, self.cells, self.merged = name, {}, []
        self.hidden_rows, self.hidden_columns, self.fills = [], [], {}
        self.borders = {}          # (row, column) -> {left | right | top | bottom: (style, colour)}
        self.comments = {}         # (row, column) -> words
        self.conditions = []       # (cells, the fill of those that hold an x)
        self.square = ()           # columns as narrow as a square
        self.grid = None

    def put(self, row, column, value):
        if isinstance(value, Fill):
            self.fills[(row, column)] = value.colour
            value = value.symbol
        if value is not None and value != "":
            self.cells[(row, column)] = value

    def size(self):
        cells = list(self.cells) + [(r, c) for r, _, c in self.merged]
        if not cells:
            return 0, 0
        return max(r for r, _ in cells) + 1, max(c for _, c in cells) + 1

    def lines(self):
        height, width = self.size()
        return [[self.cells.get((r, c), "") for c in range(width)] for r in range(height)]


def settings(folder, top):
    """The longhand.toml files from `folder` up to `top`, the nearest one winning key by key."""
    merged = {}
    chain, folder, top = [], Path(folder), Path(top)
    while True:
        chain.append(folder)
        if folder == top or folder.parent == folder:
            break
        folder = folder.parent
    for place in reversed(chain):
        file = place / "longhand.toml"
        if file.exists():
            for table, values in tomllib.loads(file.read_text(encoding="utf-8")).items():
                merged.setdefault(table, {}).update(values)
    return merged


def symbols_of(toml):
    """Stitch to symbol, the first symbol given for each stitch; edge and garter entries are left to `edges`."""
    out = {}
    for symbol, stitch in toml.get("key", {}).items():
        if isinstance(stitch, str):
            out.setdefault(stitch, symbol)
    return out


def own_stitches(toml):
    return {name: (s["uses"], s["makes"]) for name, s in toml.get("stitch", {}).items()}


class Drawing:
    """How one chart is drawn. Every option is told where it is used."""

    def __init__(self, **options):
        self.symbols = {}          # stitch -> symbol, over those of longhand.toml
        self.numbers = "right"     # right | left | both | sides (where the row begins) | none
        self.label = "{n}"         # text of a row number, with {n} and {side}; "float" for 3.0
        self.cables = "each"       # each | merged | blanks
        self.wide = ()             # stitches drawn over as many merged cells as they make or use
        self.align = "left"        # ragged rows: left | right | centre
        self.pad = ""              # symbol of cells outside the shape
        self.no_stitch = {}        # row -> columns, counted from the right, that hold no stitch
        self.ns = "ns"             # symbol of those
        self.ns_fill = None        # fill of those
        self.colours = {}          # colour word -> fill
        self.edges = ((), ())      # symbols of the first cells from the right, and from the left
        self.edge_rows = None      # rows that have those edge symbols; None: all
        self.repeat = None         # (first column, how often, columns left of the repeats): drawn once;
                                   # or {row: the same} where the repeat travels
        self.top_first = False     # row 1 at the top
        self.hand = "right"
        self.as_worked = False     # WS rows typed as the hands work them
        self.above, self.below = [], []    # lines of cells
        self.key, self.key_at = [], "right"  # [(symbol, words)]; right | below | above | sheet
        self.key_heading = "Key"
        self.column_numbers = None  # top | bottom
        self.returns = None        # appear | purl | knit: proves the derived rows
        self.garter = (0, 0)       # columns from the right and from the left knitted on both sides
        self.variants = {}         # (row, column from the right) -> symbol typed there instead
        self.text_numbers = False  # numbers kept as text in workbooks
        for name, value in options.items():
            if name not in self.__dict__:
                raise ValueError(f"no such drawing option: {name}")
            setattr(self, name, value)


class Cell:
    def __init__(self, stitch, symbol, first, width, colour=None):
        self.stitch, self.symbol, self.first, self.width, self.colour = stitch, symbol, first, width, colour


def row_from_right(rows, row, drawing, symbols, own):
    """The cells of one row from the chart's right edge to its left."""
    looks = []
    for name, colour in zip(row.stitches, row.colours or [None] * len(row.stitches)):
        if row.side == "WS" and not drawing.as_worked:
            if is_crossing(name) or name in own:
                raise ValueError(f"{rows.path}: {name} worked on the WS has no look of its own")
            name = LOOK_OF_WS[name]
        if drawing.hand == "left":
            name = mirror(name)
        looks.append((name, colour))
    if (row.side == "WS") != (drawing.hand == "left"):
        looks.reverse()
    cells = []
    for name, colour in looks:
        symbol = symbols.get(name, name)
        if name == "yo2" and "yo2" not in symbols:
            cells += [Cell("yo", symbols.get("yo", "yo"), True, 1, colour)] * 2
            continue
        width = counts(name, own)[0] if is_crossing(name) else 1
        if name in drawing.wide:
            width = max(counts(name, own))
        for i in range(width):
            cells.append(Cell(name, symbol, i == 0, width, colour))
    for column in sorted(drawing.no_stitch.get(row.number, [])):
        cells.insert(column - 1, Cell("ns", drawing.ns, True, 1))
    if drawing.repeat:
        # A repeat that narrows has fewer cells than its columns; the alignment puts the blanks back.
        first, times, tail = drawing.repeat[row.number] if isinstance(drawing.repeat, dict) else drawing.repeat
        unit, rest = divmod(len(cells) - (first - 1) - tail, times)
        start, end = first - 1, first - 1 + unit * times
        body = [(c.symbol, c.colour) for c in cells[start:end]]
        if rest or body != body[:unit] * times:
            raise ValueError(f"{rows.path}: row {row.number} does not repeat {times} times")
        cells = cells[: start + unit] + cells[end:]
    for side, edge in enumerate(drawing.edges):
        if drawing.edge_rows is not None and row.number not in drawing.edge_rows:
            continue
        for i, symbol in enumerate(edge):
            place = i if side == 0 else len(cells) - 1 - i
            cells[place] = Cell(cells[place].stitch, symbol, True, 1)
    for (number, column), symbol in drawing.variants.items():
        if number == row.number:
            cells[column - 1] = Cell(cells[column - 1].stitch, symbol, True, 1)
    return cells


def prove(rows, drawing, own):
    """Derived rows against their rule, where the drawing names one."""
    if not drawing.returns:
        return
    before = None
    for row in rows.rows:
        if not row.charted and before is not None:
            want = returned(before.stitches, drawing.returns, rows.worked, drawing.garter, own)
            if want != row.stitches:
                raise ValueError(f"{rows.path}: row {row.number} should be {want}, is {row.stitches}")
        before = row


def draw(path, drawing, toml, sheet, top=0, left=0):
    """Draws the chart of the rows in `path` on `sheet`; gives the line below it."""
    rows = Rows(path)
    own = own_stitches(toml)
    faults = rows.faults(own)
    if faults:
        raise ValueError(f"{path}: " + "; ".join(faults))
    prove(rows, drawing, own)
    symbols = {**symbols_of(toml), **drawing.symbols}
    charted = [row for row in rows.rows if row.charted]
    drawn = {row.number: row_from_right(rows, row, drawing, symbols, own) for row in charted}
    width = max(len(cells) for cells in drawn.values())

    line = top
    for cells in drawing.above:
        for i, value in enumerate(cells):
            sheet.put(line, left + i, value)
        line += 1
    key_lines = [(drawing.key_heading,)] if drawing.key_heading else []
    key_lines += drawing.key
    if drawing.key and drawing.key_at == "above":
        for cells in key_lines:
            for i, value in enumerate(cells):
                sheet.put(line, left + i, value)
            line += 1
        line += 1

    grid_left = left + (1 if drawing.numbers in ("left", "both", "sides") else 0)
    right_number = grid_left + width
    if drawing.column_numbers == "top":
        for c in range(width):
            sheet.put(line, grid_left + c, width - c)
        line += 1
    grid_top, grid_lines = line, {}
    for row in charted if drawing.top_first else charted[::-1]:
        cells = drawn[row.number]
        short = width - len(cells)
        before = {"left": 0, "right": short, "centre": short // 2}[drawing.align]
        for c in range(before):
            sheet.put(line, grid_left + c, drawing.pad)
        for c in range(before + len(cells), width):
            sheet.put(line, grid_left + c, drawing.pad)
        # From right to left: the first cell of a wide stitch is its rightmost one here.
        for i, cell in enumerate(cells):
            column = grid_left + before + len(cells) - 1 - i
            wide = cell.width > 1
            if cell.colour:
                sheet.fills[(line, column)] = drawing.colours[cell.colour]
            if cell.stitch == "ns" and drawing.ns_fill:
                sheet.fills[(line, column)] = drawing.ns_fill
            if wide and not (is_crossing(cell.stitch) and drawing.cables == "each"):
                if cell.first:
                    sheet.put(line, column - cell.width + 1, cell.symbol)
                    if drawing.cables == "merged" or cell.stitch in drawing.wide:
                        sheet.merged.append((line, column - cell.width + 1, column))
            else:
                sheet.put(line, column, cell.symbol)
        label = number_label(row, drawing)
        on_right = row.side == "RS"
        if drawing.numbers in ("left", "both") or (drawing.numbers == "sides" and not on_right):
            sheet.put(line, left, label)
        if drawing.numbers in ("right", "both") or (drawing.numbers == "sides" and on_right):
            sheet.put(line, right_number, label)
        grid_lines[row.number] = line
        line += 1
    sheet.grid = Grid(grid_top, grid_left, width, grid_lines)
    if drawing.column_numbers == "bottom":
        for c in range(width):
            sheet.put(line, grid_left + c, width - c)
        line += 1
    if drawing.key and drawing.key_at == "right":
        beside = right_number + (2 if drawing.numbers in ("right", "both", "sides") else 1)
        for r, cells in enumerate(key_lines):
            for i, value in enumerate(cells):
                sheet.put(grid_top + r, beside + i, value)
            line = max(line, grid_top + r + 1)
    if drawing.key and drawing.key_at == "below":
        line += 1
        for cells in key_lines:
            for i, value in enumerate(cells):
                sheet.put(line, left + i, value)
            line += 1
    if drawing.below:
        line += 1
        for cells in drawing.below:
            for i, value in enumerate(cells):
                sheet.put(line, left + i, value)
            line += 1
    return line


def number_label(row, drawing):
    if drawing.label == "float":
        return float(row.number)
    if drawing.label == "{n}" and not drawing.text_numbers:
        return row.number
    return drawing.label.format(n=row.number, side=row.side)
