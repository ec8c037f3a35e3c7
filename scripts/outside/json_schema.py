#!/usr/bin/env python3
"""Checks the JSON that longhand writes against tests/schema/pattern.schema.json with a general validator.

    python3 scripts/outside/json_schema.py [FILE...]

A FILE is JSON, or a chart that the longhand program turns into JSON first. Without any, the kept example is
checked. The program is target/debug/longhand, or what LONGHAND names. Needs the package jsonschema.

The schema itself is tried on wrong copies of the example, so that it can't pass everything. Beside the schema: what a
row says in `stitches` and in `work` must be the same.
"""

import copy
import json
import os
import pathlib
import subprocess
import sys

import jsonschema

ROOT = pathlib.Path(__file__).resolve().parents[2]
EXAMPLE = ROOT / "tests/schema/scarf.json"
PROGRAM = os.environ.get("LONGHAND", str(ROOT / "target/debug/longhand"))


def changed(pattern, path, value):
    """A copy of the pattern with the value at the path replaced, or taken out where it is None."""
    pattern = copy.deepcopy(pattern)
    *above, last = path
    inner = pattern
    for key in above:
        inner = inner[key]
    if value is None:
        del inner[last]
    else:
        inner[last] = value
    return pattern


WRONG = [
    (["format"], "longhand.pattern/2"),
    (["multiple"], None),
    (["worked"], "sideways"),
    (["cast_on"], "11"),
    (["sizes"], []),
    (["rows"], []),
    (["rows", 0, "side"], "rs"),
    (["rows", 0, "stitches", 2], "yfwd"),
    (["rows", 0, "stitches", 2], "ns"),
    (["rows", 0, "where"], None),
    (["rows", 0, "where", "sheet"], None),
    (["rows", 0, "where", "line"], 3),
    (["rows", 0, "work", 0, "times"], None),
    (["rows", 0, "work", 1, "stitch"], "k"),
    (["findings", 0, "help"], None),
    (["findings", 0, "severity"], "hint"),
    (["unknown"], 1),
]


def stitches(work):
    """The stitches of a row's work, one by one."""
    for piece in work:
        for _ in range(piece["times"]):
            if "stitch" in piece:
                yield piece["stitch"]
            else:
                yield from stitches(piece["repeat"])


def load(path):
    if path.suffix == ".json":
        return json.loads(path.read_text(encoding="utf-8"))
    written = subprocess.run([PROGRAM, "write", "--to", "json", str(path)], capture_output=True, check=False)
    if not written.stdout:
        raise ValueError(written.stderr.decode(errors="replace").strip() or "nothing written")
    return json.loads(written.stdout)


def faults(validator, value):
    found = [f"{'/'.join(map(str, error.absolute_path))}: {error.message}" for error in validator.iter_errors(value)]
    for pattern in value if isinstance(value, list) else [value]:
        for row in [] if found else pattern["rows"]:
            if list(stitches(row["work"])) != row["stitches"]:
                found.append(f"row {row['number']}: work and stitches differ")
    return found


def main():
    schema = json.loads((ROOT / "tests/schema/pattern.schema.json").read_text(encoding="utf-8"))
    jsonschema.Draft202012Validator.check_schema(schema)
    validator = jsonschema.Draft202012Validator(schema)
    failed = 0

    example = json.loads(EXAMPLE.read_text(encoding="utf-8"))
    for path, value in WRONG:
        if validator.is_valid(changed(example, path, value)):
            failed += 1
            print(f"the schema lets pass: {'/'.join(map(str, path))} = {value!r}")

    for path in map(pathlib.Path, sys.argv[1:] or [str(EXAMPLE)]):
        try:
            found = faults(validator, load(path))
        except (OSError, ValueError) as error:
            found = [str(error)]
        for fault in found:
            failed += 1
            print(f"{path}: {fault}")
        if not found:
            print(f"{path}: as the schema says")
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())
