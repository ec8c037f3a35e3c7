#!/usr/bin/env python3
"""Checks what `longhand compare --to json` writes against tests/schema/comparison.schema.json, and what it writes of two
folders against tests/schema/comparisons.schema.json, with a general validator.

    python3 scripts/outside/comparison_schema.py FILE...

Each FILE is compared with itself, which must give the same stitches, and with the next; then all of them, in a folder,
with what longhand writes of that folder. The program is target/debug/longhand, or what LONGHAND names. Needs the package
jsonschema.

The schemas themselves are tried on wrong copies of a comparison, so that they can't pass everything. Beside the schema:
the exit status says what the verdict and the findings say, and the counts count the comparisons.
"""

import json
import os
import pathlib
import subprocess
import sys
import tempfile

import jsonschema
import referencing

from json_schema import changed

ROOT = pathlib.Path(__file__).resolve().parents[2]
PROGRAM = os.environ.get("LONGHAND", str(ROOT / "target/debug/longhand"))

# Row 1 with an ssk for the k2tog, row 3 with a knit stitch in its middle, and a row 4 that the other has not.
LEFT = "Scarf\n\nCast on 5 sts.\nRow 1 (RS): K2, k2tog, yo, k1.\nRow 2 (WS): P5.\nRow 3 (RS): K5.\n"
RIGHT = (
    "Scarf\n\nCast on 5 sts.\nRow 1 (RS): K2, ssk, yo, k1.\nRow 2 (WS): P5.\nRow 3 (RS): K2, p1, k2.\n"
    "Row 4 (WS): P5.\n"
)
DIFFERING = [{"left": 1, "right": 1}, {"left": 3, "right": 3}, {"left": None, "right": 4}]

WRONG = [
    (["format"], "longhand.comparison/2"),
    (["left"], None),
    (["right"], ""),
    (["verdict"], "alike"),
    (["verdict"], "same-stitches"),
    (["verdict"], "same-fabric"),
    (["verdict"], "not-compared"),
    (["charts"], None),
    (["charts", 0, "title"], None),
    (["charts", 0, "verdict"], "not-compared"),
    (["charts", 0, "verdict"], "same-stitches"),
    (["charts", 0, "rows"], -1),
    (["charts", 0, "rows_that_differ", 0], 1),
    (["charts", 0, "rows_that_differ", 0, "left"], "1"),
    (["charts", 0, "rows_that_differ", 2, "right"], []),
    (["charts", 0, "rows_that_differ", 2], {"left": None, "right": None}),
    (["findings", 0, "help"], None),
    (["findings", 0, "severity"], "hint"),
    (["findings", 0, "where", "file"], None),
    (["unknown"], 1),
]

# Of two folders in which one text differs, one is the same, one is alone, one can't be read and one holds no rows: the
# verdicts in the order of the names.
FOLDERS = {
    "left": {"a.txt": LEFT, "b.txt": LEFT, "c/d.txt": LEFT, "e.txt": LEFT, "f.txt": "Dear knitter,\nthank you.\n"},
    "right": {"a.txt": RIGHT, "b.txt": LEFT, "c/e.txt": LEFT, "e.docx": "PK\3\4 and no more"},
}
VERDICTS = ["different", "same-stitches", "alone", "alone", "unreadable", "no-rows"]

WRONG_FOLDERS = [
    (["format"], "longhand.comparison/1"),
    (["left"], None),
    (["verdict"], "alone"),
    (["verdict"], "same-stitches"),
    (["verdict"], "same-fabric"),
    (["complete"], None),
    (["counts", "alone"], -1),
    (["counts", "missing"], 1),
    (["comparisons", 0, "verdict"], "same-stitches"),
    (["comparisons", 0, "verdict"], "alone"),
    (["comparisons", 0, "left"], None),
    (["comparisons", 0, "charts", 0, "verdict"], None),
    (["comparisons", 1, "charts"], []),
    (["comparisons", 2, "left"], ""),
    (["comparisons", 2, "left"], None),
    (["comparisons", 2, "verdict"], "different"),
    (["comparisons", 2, "findings"], []),
    (["comparisons", 4, "verdict"], "absent"),
    (["findings"], None),
    (["unknown"], 1),
]


def validators(name):
    """The validator of this schema."""
    folder = ROOT / "tests/schema"
    schemas = {name: json.loads((folder / name).read_text(encoding="utf-8"))
               for name in ("comparison.schema.json", "comparisons.schema.json", "pattern.schema.json")}
    for schema in schemas.values():
        jsonschema.Draft202012Validator.check_schema(schema)
    registry = referencing.Registry().with_resources(
        (name, referencing.Resource.from_contents(schema)) for name, schema in schemas.items())
    return jsonschema.Draft202012Validator(schemas[name], registry=registry)


def compared(left, right):
    """The comparison of two files, and how the call ended."""
    call = [PROGRAM, "compare", "--to", "json", str(left), str(right)]
    ended = subprocess.run(call, capture_output=True, check=False)
    if not ended.stdout:
        raise ValueError(ended.stderr.decode(errors="replace").strip() or "nothing written")
    return json.loads(ended.stdout), ended.returncode


def faults(validator, left, right):
    try:
        value, status = compared(left, right)
    except (OSError, ValueError) as error:
        return [str(error)]
    found = [f"{'/'.join(map(str, error.absolute_path))}: {error.message}" for error in validator.iter_errors(value)]
    if found:
        return found
    wrong = value["verdict"] == "different" or any(each["severity"] == "error" for each in value["findings"])
    if status != int(wrong) and not (status == 2 and value["verdict"] == "not-compared"):
        found.append(f"the verdict is {value['verdict']}, but the exit status {status}")
    if left == right and value["charts"] and value["verdict"] != "same-stitches":
        found.append(f"compared with itself it is {value['verdict']}")
    return found


def let_pass(validator, example, wrong):
    """Wrong copies of an example that the schema lets pass."""
    for path, value in wrong:
        if validator.is_valid(changed(example, path, value)):
            yield f"the schema lets pass: {'/'.join(map(str, path))} = {value!r}"


def faults_of_folders(validator, left, right):
    """What is wrong in the comparison of two folders, and the verdicts of its pairs."""
    try:
        value, status = compared(left, right)
    except (OSError, ValueError) as error:
        return [str(error)], []
    found = [f"{'/'.join(map(str, error.absolute_path))}: {error.message}" for error in validator.iter_errors(value)]
    if found:
        return found, []
    each = value["comparisons"]
    verdicts = [one["verdict"] for one in each]
    for verdict, count in value["counts"].items():
        if verdicts.count(verdict) != count:
            found.append(f"{count} counted as {verdict}, {verdicts.count(verdict)} listed")
    wrong = any(finding["severity"] == "error" for one in each for finding in one["findings"])
    if status != int(wrong) or (value["verdict"] == "different" and not wrong) or not value["complete"]:
        found.append(f"the verdict is {value['verdict']}, but the exit status {status}")
    return found, verdicts


def folders(place, files):
    """What is wrong in comparisons of folders."""
    validator = validators("comparisons.schema.json")
    for side, texts in FOLDERS.items():
        for name, text in texts.items():
            path = place / side / name
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_text(text, encoding="utf-8")
    example, _ = compared(place / "left", place / "right")
    found, verdicts = faults_of_folders(validator, place / "left", place / "right")
    yield from found
    if verdicts != VERDICTS:
        yield f"the verdicts of the folders are {verdicts}, not {VERDICTS}"
    yield from let_pass(validator, example, WRONG_FOLDERS)
    charts, rows = place / "charts", place / "rows"
    for file in files:
        (charts / file.parent).mkdir(parents=True, exist_ok=True)
        (charts / file).write_bytes(file.read_bytes())
        settings = file.parent / "longhand.toml"
        if settings.is_file():
            (charts / settings).write_bytes(settings.read_bytes())
    subprocess.run([PROGRAM, "write", "--quiet", str(charts), "--out", str(rows)], check=True)
    for left, right in ((charts, rows), (rows, charts)):
        found, verdicts = faults_of_folders(validator, left, right)
        yield from found
        if set(verdicts) != {"same-stitches"}:
            yield f"{left} and {right}: {sorted(set(verdicts))}"


def main():
    validator = validators("comparison.schema.json")
    failed = 0
    with tempfile.TemporaryDirectory() as place:
        left, right = pathlib.Path(place, "left.txt"), pathlib.Path(place, "right.txt")
        left.write_text(LEFT, encoding="utf-8")
        right.write_text(RIGHT, encoding="utf-8")
        example, _ = compared(left, right)
        pairs = [(left, right)]
        differing = example["charts"][0]["rows_that_differ"]
        if differing != DIFFERING:
            failed += 1
            print(f"rows that differ: {differing}, not {DIFFERING}")
        files = list(map(pathlib.Path, sys.argv[1:]))
        for fault in (*let_pass(validator, example, WRONG), *folders(pathlib.Path(place, "folders"), files)):
            failed += 1
            print(fault)
        pairs += [(file, file) for file in files] + list(zip(files, files[1:]))
        for left, right in pairs:
            for fault in faults(validator, left, right):
                failed += 1
                print(f"{left} {right}: {fault}")
    print(f"{len(pairs)} comparisons of files, three of folders: {'as the schema says' if not failed else f'{failed} faults'}")
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())
