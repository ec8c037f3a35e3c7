#!/usr/bin/env python3
"""Draws the charts of the corpus and of the cases from their rows.

    pip install openpyxl xlwt     (and LibreOffice, for .ods, .fods and one of the .xls; node and xlsx@0.18.5 for .xlsb)
    python3 scripts/corpus/draw.py [worked|corpus|habits|looks|broken|check]...

Without a word it does all. `check` writes nothing and proves every .rows file.
"""

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))
import files
from chart import Sheet, draw, own_stitches, settings
from rows import Rows

ROOT = Path(__file__).resolve().parents[2]
CASES = ROOT / "tests" / "cases"


def worked():
    import worked as designs

    folders = {p.name for p in (CASES / "worked").iterdir() if p.is_dir()}
    if folders != set(designs.CASES):
        raise SystemExit(f"worked: folders and drawings differ: {folders ^ set(designs.CASES)}")
    for name, drawing in designs.CASES.items():
        folder = CASES / "worked" / name
        sheet = Sheet()
        draw(folder / "expected.rows", drawing, settings(folder, folder), sheet)
        files.write([sheet], folder / "chart.csv")


def check():
    """Every .rows file, and every longhand.toml as TOML where it is meant to be right."""
    wrong = 0
    for path in sorted(CASES.rglob("*.rows")):
        if path.parts[len(CASES.parts)] == "corpus":
            folder = ROOT / "corpus" / path.parent.relative_to(CASES / "corpus")
            top = ROOT / "corpus"
        else:
            folder, top = path.parent, path.parent
        for fault in Rows(path).faults(own_stitches(settings(folder, top))):
            wrong += 1
            print(f"{path.relative_to(ROOT)}: {fault}")
    return wrong


def main():
    words = sys.argv[1:] or ["worked", "corpus", "habits", "looks", "broken", "check"]
    for word in words:
        if word == "worked":
            worked()
        elif word in ("corpus", "habits", "looks", "broken"):
            module = __import__(word)
            module.make(ROOT)
        elif word == "check":
            if check():
                raise SystemExit(1)
        else:
            raise SystemExit(f"no such word: {word}")


if __name__ == "__main__":
    main()
