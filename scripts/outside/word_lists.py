#!/usr/bin/env python3
"""Checks that rows numbered by Word itself are read: documents made by python-docx, whose list styles and numbers are
those of Word's own template.

    python3 scripts/outside/word_lists.py

The program is target/debug/longhand, or what LONGHAND names. Needs the package python-docx. The stitches of each row were
worked out by hand.
"""

import json
import os
import pathlib
import subprocess
import sys
import tempfile

import docx
from docx.oxml.ns import qn

ROOT = pathlib.Path(__file__).resolve().parents[2]
PROGRAM = os.environ.get("LONGHAND", str(ROOT / "target/debug/longhand"))

ROWS = ["K2, yo, k2tog, k4.", "Purl.", "K4, ssk, yo, k2.", "Purl."]
STITCHES = [
    ["k", "k", "yo", "k2tog", "k", "k", "k", "k"],
    ["p"] * 8,
    ["k", "k", "k", "k", "ssk", "yo", "k", "k"],
    ["p"] * 8,
]


def written(label):
    """A document whose rows are items of a numbered list, a remark between them; `label` is what the list shows, or
    none for the label of the template, "1."."""
    document = docx.Document()
    document.add_heading("Harbour Cuff", 1)
    document.add_paragraph("Worked flat. Cast on 8 sts.")
    for row in ROWS[:2]:
        document.add_paragraph(row, style="List Number")
    document.add_paragraph("Work loosely from here on.")
    for row in ROWS[2:]:
        document.add_paragraph(row, style="List Number")
    if label:
        lists = document.part.numbering_part.element
        own = document.styles["List Number"].element.find(".//" + qn("w:numId")).get(qn("w:val"))
        way = lists.num_having_numId(int(own)).abstractNumId.val
        for level in lists.iter(qn("w:lvl")):
            if level.getparent().get(qn("w:abstractNumId")) == str(way):
                level.find(qn("w:lvlText")).set(qn("w:val"), label)
    return document


failed = 0
with tempfile.TemporaryDirectory() as folder:
    for label in [None, "Row %1:", "%1)"]:
        path = pathlib.Path(folder) / "cuff.docx"
        written(label).save(path)
        run = subprocess.run([PROGRAM, "chart", path, "--to", "json"], capture_output=True, text=True, check=False)
        found = json.loads(run.stdout) if run.stdout else {}
        rows = [(row["number"], row["stitches"]) for row in found.get("rows", [])]
        if run.returncode != 0 or rows != list(enumerate(STITCHES, 1)):
            failed += 1
            print(f"{label}: {rows}\n{run.stderr}")
print(f"3 documents with lists of rows, {failed} read otherwise")
sys.exit(failed > 0)
