#!/usr/bin/env python3
"""Checks what `longhand compare --to json` writes against tests/schema/comparison.schema.json with a general validator.

    python3 scripts/outside/comparison_schema.py FILE...

Each FILE is compared with itself, which must give the same stitches, and with the next. The program is
target/debug/longhand, or what LONGHAND names. Needs the package jsonschema.

The schema itself is tried on wrong copies of a comparison, so that it can't pass everything. Beside the schema: the exit
status says what the verdict and the findings say.
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


def validators():
    folder = ROOT / "tests/schema"
    schemas = {name: json.loads((folder / name).read_text(encoding="utf-8"))
               for name in ("comparison.schema.json", "pattern.schema.json")}
    for schema in schemas.values():
        jsonschema.Draft202012Validator.check_schema(schema)
    registry = referencing.Registry().with_resources(
        (name, referencing.Resource.from_contents(schema)) for name, schema in schemas.items())
    return jsonschema.Draft202012Validator(schemas["comparison.schema.json"], registry=registry)


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


def main():
    validator = validators()
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
        for path, value in WRONG:
            if validator.is_valid(changed(example, path, value)):
                failed += 1
                print(f"the schema lets pass: {'/'.join(map(str, path))} = {value!r}")
        files = list(map(pathlib.Path, sys.argv[1:]))
        pairs += [(file, file) for file in files] + list(zip(files, files[1:]))
        for left, right in pairs:
            for fault in faults(validator, left, right):
                failed += 1
                print(f"{left} {right}: {fault}")
    print(f"{len(pairs)} comparisons: {'as the schema says' if not failed else f'{failed} faults'}")
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())
