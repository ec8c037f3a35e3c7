"""Reads and proves `.rows` files: the rows of a pattern as the hands work them.

The format is told in README.md beside this file.
"""

import re
from pathlib import Path

# Loops used from the left needle, loops made on the right.
COUNTS = {
    "k": (1, 1), "p": (1, 1), "ktbl": (1, 1), "ptbl": (1, 1),
    "sl1wyib": (1, 1), "sl1wyif": (1, 1), "sl1k": (1, 1),
    "yo": (0, 1), "yo2": (0, 2),
    "m1": (0, 1), "m1p": (0, 1), "m1l": (0, 1), "m1r": (0, 1), "m1lp": (0, 1), "m1rp": (0, 1),
    "k2tog": (2, 1), "p2tog": (2, 1), "ssk": (2, 1), "ssp": (2, 1), "skp": (2, 1),
    "k2togtbl": (2, 1), "p2togtbl": (2, 1),
    "k3tog": (3, 1), "p3tog": (3, 1), "sssk": (3, 1), "sssp": (3, 1),
    "k3togtbl": (3, 1), "p3togtbl": (3, 1), "sk2p": (3, 1), "s2kp": (3, 1), "s2pp": (3, 1),
    "k4tog": (4, 1), "p4tog": (4, 1),
    "kfb": (1, 2), "pfb": (1, 2), "kfbf": (1, 3),
    "kyok": (1, 3), "pyop": (1, 3), "kpk": (1, 3), "pkp": (1, 3), "kpkpk": (1, 5), "pkpkp": (1, 5),
    "bo": (1, 0), "co": (0, 1),
}

CROSSING = re.compile(r"^\d+(/\d+)+(rc|lc|rpc|lpc|rt|lt)$")

# What the hands do on the WS for the look on the left (domain.md, section 3).
PAIRS = [
    ("k", "p"), ("ktbl", "ptbl"), ("yo", "yo"), ("yo2", "yo2"), ("k2tog", "p2tog"), ("ssk", "ssp"),
    ("k2togtbl", "p2togtbl"), ("k3tog", "p3tog"), ("sssk", "sssp"), ("k3togtbl", "p3togtbl"),
    ("s2kp", "s2pp"), ("k4tog", "p4tog"), ("kfb", "pfb"), ("m1", "m1p"), ("m1l", "m1lp"),
    ("m1r", "m1rp"), ("kyok", "pyop"), ("kpk", "pkp"), ("kpkpk", "pkpkp"), ("sl1wyib", "sl1wyif"),
    ("bo", "bo"), ("co", "co"),
]
LOOK_OF_WS = {}
for _rs, _ws in PAIRS:
    LOOK_OF_WS[_ws] = _rs
    LOOK_OF_WS[_rs] = _ws

MIRROR = {}
for _a, _b in [("k2tog", "ssk"), ("p2tog", "ssp"), ("k3tog", "sssk"), ("p3tog", "sssp"),
               ("m1l", "m1r"), ("m1lp", "m1rp")]:
    MIRROR[_a], MIRROR[_b] = _b, _a

PURL_FACED = {"p", "ptbl", "p2tog", "ssp", "p2togtbl", "p3tog", "sssp", "p3togtbl", "s2pp", "p4tog",
              "m1p", "m1lp", "m1rp"}


def is_crossing(name):
    return bool(CROSSING.match(name))


def counts(name, own=None):
    if own and name in own:
        return own[name]
    if is_crossing(name):
        n = sum(int(d) for d in re.findall(r"\d+", name))
        return (n, n)
    return COUNTS[name]


def mirror(name):
    """The stitch that gives a mirror-wise knitter the same fabric."""
    if is_crossing(name):
        for a, b in [("rpc", "lpc"), ("lpc", "rpc"), ("rc", "lc"), ("lc", "rc"), ("rt", "lt"), ("lt", "rt")]:
            if name.endswith(a):
                return name[: -len(a)] + b
    return MIRROR.get(name, name)


def expand(text):
    """`k*2 (yo ssk)*3` as a flat list of stitches."""
    tokens = re.findall(r"\)\*\d+|\(|\)|[^\s()]+", text)
    stack = [[]]
    for token in tokens:
        if token == "(":
            stack.append([])
        elif token.startswith(")"):
            group = stack.pop()
            times = int(token[2:]) if len(token) > 1 else 1
            stack[-1].extend(group * times)
        else:
            name, _, times = token.partition("*")
            stack[-1].extend([name] * (int(times) if times else 1))
    if len(stack) != 1:
        raise ValueError(f"unbalanced brackets: {text}")
    return stack[0]


class Row:
    def __init__(self, number, side, charted, makes, stitches):
        self.number, self.side, self.charted = number, side, charted
        self.makes, self.stitches, self.colours = makes, stitches, None


class Rows:
    def __init__(self, path):
        self.path = Path(path)
        self.source, self.title, self.worked = None, None, "flat"
        self.cast_on, self.multiple, self.rows = None, None, []
        for line in self.path.read_text(encoding="utf-8").splitlines():
            line = line.strip()
            if line.startswith("# source:"):
                self.source = line[9:].strip()
            if not line or line.startswith("#"):
                continue
            row = re.match(r"^(\d+) (RS|WS) (charted|derived) = (\d+) : (.*)$", line)
            if row:
                number, side, charted, makes, text = row.groups()
                self.rows.append(Row(int(number), side, charted == "charted", int(makes), expand(text)))
                continue
            name, _, value = line.partition(":")
            value = value.strip()
            if name == "title":
                self.title = value
            elif name == "worked":
                self.worked = value
            elif name == "cast-on":
                self.cast_on = int(value)
            elif name.strip() == "colours":
                self.rows[-1].colours = expand(value)
            elif name == "multiple":
                self.multiple = tuple(int(n) for n in value.split("+"))
            else:
                raise ValueError(f"{path}: what is {line!r}?")

    def faults(self, own=None):
        """Everything that does not add up."""
        out = []
        if self.worked not in ("flat", "round"):
            out.append(f"worked {self.worked}?")
        if self.source is None:
            out.append("no source")
        before = self.cast_on
        for place, row in enumerate(self.rows, 1):
            try:
                pairs = [counts(s, own) for s in row.stitches]
            except KeyError as unknown:
                out.append(f"row {row.number}: unknown stitch {unknown}")
                continue
            uses, makes = sum(u for u, _ in pairs), sum(m for _, m in pairs)
            if row.number != place:
                out.append(f"row {row.number} stands at place {place}")
            if uses != before:
                out.append(f"row {row.number} uses {uses}, the row before made {before}")
            if makes != row.makes:
                out.append(f"row {row.number} says {row.makes}, makes {makes}")
            if self.worked == "round" and row.side != "RS":
                out.append(f"round {row.number} is {row.side}")
            if self.worked == "flat" and place > 1 and row.side == self.rows[place - 2].side:
                out.append(f"rows {place - 1} and {place} are both {row.side}")
            if row.colours and len(row.colours) != len(row.stitches):
                out.append(f"row {row.number} has {len(row.colours)} colours for {len(row.stitches)} stitches")
            if bool(row.colours) != bool(self.rows[0].colours):
                out.append(f"row {row.number}: colours in some rows only")
            before = makes
        if self.multiple and (self.cast_on - self.multiple[1]) % self.multiple[0]:
            out.append(f"cast-on {self.cast_on} is no multiple of {self.multiple}")
        return out


def faces(stitches, own=None):
    """The face each loop shows to the RS after an RS row: k, p, o (yarn over), 1 and 2 (a double one)."""
    out = []
    for name in stitches:
        made = counts(name, own)[1]
        crossing = re.match(r"^(\d+)/(\d+)(rpc|lpc)$", name)
        if crossing:
            # The first number is the knit strand in front, the second the purl ground behind.
            front, back = int(crossing[1]), int(crossing[2])
            out += ["k"] * front + ["p"] * back if crossing[3] == "rpc" else ["p"] * back + ["k"] * front
        elif name == "yo2":
            out += ["1", "2"]
        elif name == "yo":
            out.append("o")
        elif name in ("kpk", "kpkpk", "pkp", "pkpkp"):
            out += list(name)
        else:
            out += ["p" if name in PURL_FACED else "k"] * made
    return out


def returned(stitches, how, worked="flat", garter=(0, 0), own=None):
    """The row that follows an RS row: how is appear, purl or knit; garter columns (right, left) are knitted."""
    loops = faces(stitches, own)
    double = {"1": "p", "2": "k"} if worked == "flat" else {"1": "k", "2": "p"}
    if worked == "flat":
        loops = loops[::-1]
        text = "".join(loops).replace("21", "12")
        plain = {"appear": {"k": "p", "p": "k", "o": "p"}, "purl": dict.fromkeys("kpo", "p"),
                 "knit": dict.fromkeys("kpo", "k")}[how]
        first, last = garter[1], garter[0]
    else:
        text = "".join(loops)
        plain = {"appear": {"k": "k", "p": "p", "o": "k"}, "purl": dict.fromkeys("kpo", "p"),
                 "knit": dict.fromkeys("kpo", "k")}[how]
        first, last = garter
    row = [double.get(loop) or plain[loop] for loop in text]
    for i in range(first):
        row[i] = "k"
    for i in range(len(row) - last, len(row)):
        row[i] = "k"
    return row
