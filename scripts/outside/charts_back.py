#!/usr/bin/env python3
"""Has longhand draw the charts of the archive as csv and xlsx, and holds each workbook against the csv with other
programs' eyes: openpyxl reads it, LibreOffice saves it as .ods, and longhand compares that with the rows again.

    python3 scripts/outside/charts_back.py CHART ...

The csv names every stitch in full, the workbook has short signs: both keys must give each square the same words.
Merged cells must be as wide as the run of cells in the csv, and row numbers must stand at the same edge.
"""

import csv
import json
import pathlib
import subprocess
import sys
import tempfile

import openpyxl

HOME = pathlib.Path(__file__).resolve().parents[2]
LONGHAND = HOME / "target/debug/longhand"


def run(*arguments, ends=(0,)):
    done = subprocess.run([str(part) for part in arguments], capture_output=True, text=True, check=False)
    if done.returncode not in ends:
        sys.exit(f"{' '.join(map(str, arguments))}\nended with {done.returncode}\n{done.stdout}{done.stderr}")
    return done.stdout


def lines_of_csv(path):
    with open(path, newline="", encoding="utf-8") as file:
        text = file.read().split("\n")
    # The csv module passes blank lines over; they count here.
    return [next(csv.reader([line]), []) for line in text]


def lines_of_xlsx(path):
    sheet = openpyxl.load_workbook(path).active
    lines = [["" if cell is None else str(cell) for cell in row] for row in sheet.iter_rows(values_only=True)]
    for merge in sheet.merged_cells.ranges:
        for row in range(merge.min_row, merge.max_row + 1):
            for column in range(merge.min_col, merge.max_col + 1):
                lines[row - 1][column - 1] = lines[merge.min_row - 1][merge.min_col - 1]
    return lines, sheet


def parts(lines):
    """What stands above the chart, the chart, the key."""
    blank = [index for index, line in enumerate(lines) if not any(line)]
    chart, key = blank[0] + 1, blank[1] + 2
    end = next((index for index in blank if index > key), len(lines))
    said = [line[0] for line in lines[: blank[0]]]
    return said, lines[chart : blank[1]], {line[0]: line[1] for line in lines[key:end]}


def in_words(rows, key):
    return [[row[0]] + [key[sign] for sign in row[1:-1]] + [row[-1]] for row in rows]


def main(charts):
    problems = []
    compared = 0
    with tempfile.TemporaryDirectory() as folder:
        folder = pathlib.Path(folder)
        # A profile of its own: another run of the office program doesn't stop this one.
        profile = f"-env:UserInstallation={(folder / 'profile').as_uri()}"
        for index, chart in enumerate(charts):
            chart = pathlib.Path(chart)
            out = folder / str(index)
            out.mkdir()
            settings = chart.parent / "longhand.toml"
            own = ["--settings", settings] if settings.exists() else []
            run(LONGHAND, "write", chart, "--to", "json", "--out", out / "json", "--quiet")
            for pattern in sorted((out / "json").glob("*.json")):
                colours = any("colours" in row for row in json.loads(pattern.read_text())["rows"])
                run(LONGHAND, "chart", pattern, "--to", "xlsx", "--out", out, *own)
                book = out / f"{pattern.stem}.xlsx"
                if not colours:
                    run(LONGHAND, "chart", pattern, "--to", "csv", "--out", out, *own)
                    said, rows, key = parts(lines_of_csv(out / f"{pattern.stem}.csv"))
                    lines, sheet = lines_of_xlsx(book)
                    width = max(len(row) for row in rows)
                    lines = [line[:width] + [""] * (width - len(line)) for line in lines]
                    said_too, rows_too, key_too = parts(lines)
                    if said != said_too:
                        problems.append(f"{book.name}: {said} and {said_too}")
                    if in_words(rows, key) != in_words(rows_too, key_too):
                        problems.append(f"{book.name}: the squares differ")
                    if sheet.merged_cells.ranges and any(merge.min_row != merge.max_row for merge in sheet.merged_cells.ranges):
                        problems.append(f"{book.name}: a merged cell of several rows")
                run("soffice", profile, "--headless", "--convert-to", "ods", "--outdir", out / "ods", book)
                saved = out / "ods" / f"{pattern.stem}.ods"
                told = run(LONGHAND, "compare", pattern, saved, *own, ends=(0, 1))
                if not any(line.startswith("same stitches") for line in told.splitlines()):
                    problems.append(f"{saved.name} as LibreOffice saves it:\n{told}")
                compared += 1
    print("\n".join(problems) or f"{compared} charts drawn, read by others and again: the same")
    return 1 if problems or not compared else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
