"""The wrong inputs that are no plain text: tests/cases/broken/NAME/chart.*; the csv ones stand there as typed."""

import datetime
import io
import struct
import zipfile
import zlib

import files
from chart import Sheet


def sheet(*lines, merged=(), hidden=(), name="Sheet1"):
    """Symbols and a row number, parted by spaces; _ is an empty cell."""
    out = Sheet(name)
    for r, line in enumerate(lines):
        for c, value in enumerate(line.split() if isinstance(line, str) else line):
            out.put(r, c, None if value == "_" else int(value) if isinstance(value, str) and value.isdigit() else value)
    out.merged += merged
    out.hidden_rows += hidden
    return out


def picture():
    """A white png of 2 by 2."""
    def part(kind, body):
        return struct.pack(">I", len(body)) + kind + body + struct.pack(">I", zlib.crc32(kind + body))
    lines = zlib.compress(b"\0\xff\xff\xff\xff\xff\xff" * 2, 9)
    return (b"\x89PNG\r\n\x1a\n" + part(b"IHDR", struct.pack(">IIBBBBB", 2, 2, 8, 2, 0, 0, 0))
            + part(b"IDAT", lines) + part(b"IEND", b""))


def archive():
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as pack:
        pack.writestr(zipfile.ZipInfo("letter.txt", files.ZIP_DAY), "The chart follows by post.\n")
    return out.getvalue()


def locked():
    """The container of a workbook with a password: two streams, their contents not to be read by anyone."""
    sector, free, end = 512, 0xFFFFFFFF, 0xFFFFFFFE
    streams = [("EncryptionInfo", bytes([4, 0, 4, 0, 0x40, 0, 0, 0]).ljust(4096, b" ")),
               ("EncryptedPackage", struct.pack("<Q", 5000) + bytes((i * 73 + 41) % 256 for i in range(5112)))]
    table, body, at = [0xFFFFFFFD, end], b"", 2
    entries = [("Root Entry", 5, 1, end, 0)]
    for name, data in streams:
        data = data.ljust(-(-len(data) // sector) * sector, b"\0")
        count = len(data) // sector
        table += list(range(at + 1, at + count)) + [end]
        entries.append((name, 2, free, at, len(data)))
        body += data
        at += count
    table += [free] * (sector // 4 - len(table))
    directory = b""
    for i, (name, kind, child, start, size) in enumerate(entries):
        text = name.encode("utf-16-le")
        # EncryptionInfo is the longer branch's left-hand neighbour: names are ordered by length, then letters.
        left, right = (free, 2) if i == 1 else (free, free)
        directory += text.ljust(64, b"\0") + struct.pack("<HBBIII", len(text) + 2, kind, 1, left, right, child)
        directory += b"\0" * 36 + struct.pack("<IQ", start, size)
    directory += (b"\0" * 66 + struct.pack("<BBIII", 0, 0, free, free, free) + b"\0" * 50) * (4 - len(entries))
    head = bytes.fromhex("D0CF11E0A1B11AE1") + b"\0" * 16
    head += struct.pack("<HHHHH", 0x3E, 3, 0xFFFE, 9, 6) + b"\0" * 6
    head += struct.pack("<IIIIIIIII", 0, 1, 1, 0, 4096, end, 0, end, 0)
    head += struct.pack("<I", 0) + struct.pack("<I", free) * 108
    return head + struct.pack(f"<{len(table)}I", *table) + directory + body


CABLE = ("- - . . . . - - 4", "- - C _ _ _ - - 3", "- - . . . . - - 2", "- - . . . . - - 1")

SHEETS = {
    "merged-cell-too-wide": [sheet(CABLE[0], "- C _ _ _ _ - - 3", *CABLE[2:], merged=[(1, 1, 5)])],
    "merged-cell-too-narrow": [sheet(CABLE[0], "- - C _ _ . - - 3", *CABLE[2:], merged=[(1, 2, 4)])],
    "merged-cell-of-a-knit-stitch": [sheet(CABLE[0], "- - . _ . . - - 3", *CABLE[2:], merged=[(1, 2, 3)])],
    "hidden-row-needed": [sheet(". . . . . 4", ". - . - . 3", "- . - . - 2", ". . . . . 1", hidden=[1])],
    "key-sheet-no-stitch-word": [
        sheet(". o / . 3", ". / o . 1"),
        sheet([".", "knit"], ["o", "yarn over"], ["/", "little hook"], name="Key")],
    "cable-cut-at-the-edge": [sheet("- - . . . . . . 4", "- - . . . C C C 3", "- - . . . . . . 2", "- - . . . . . . 1")],
    "ambiguous-date": [sheet("v v v v v 4", ["v", datetime.date(2020, 1, 2), "_", "_", "v", 3],
                             "v v v v v 2", "v v v v v 1", merged=[(1, 1, 3)])],
    "date-that-fits-nothing": [sheet("v v v v 4", ["v", datetime.date(2020, 3, 3), "v", "v", 3], "v v v v 2", "v v v v 1")],
    "sheet-of-prose": [sheet(["Dear Ann,"], ["the chart for the autumn leaflet is not ready yet."],
                             ["I hope to send it on Monday."], [], ["Best wishes"])],
}


def make(root):
    home = root / "tests" / "cases" / "broken"
    for name, sheets in SHEETS.items():
        files.write(sheets, home / name / "chart.xlsx")
    whole = (home / "merged-cell-too-wide" / "chart.xlsx").read_bytes()
    (home / "truncated-xlsx" / "chart.xlsx").write_bytes(whole[: len(whole) // 2])
    (home / "zero-bytes-xlsx" / "chart.xlsx").write_bytes(b"")
    (home / "png-called-xlsx" / "chart.xlsx").write_bytes(picture())
    (home / "zip-called-ods" / "chart.ods").write_bytes(archive())
    (home / "encrypted-xlsx" / "chart.xlsx").write_bytes(locked())
    old = home / "truncated-xls" / "chart.xls"
    files.write([sheet(*CABLE)], old)
    old.write_bytes(old.read_bytes()[:700])
    for folder in sorted(home.iterdir()):
        if not list(folder.glob("chart.*")) or not (folder / "expected.txt").exists():
            raise SystemExit(f"broken: {folder.name} is not whole")
