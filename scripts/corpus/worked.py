"""Drawings of the published patterns: tests/cases/worked/NAME/chart.csv from the expected.rows beside it."""

from chart import Drawing


def title(*words):
    return [[w] for w in words]


CASES = {
    "old-shale-18": Drawing(above=title("Old shale", ""), numbers="sides"),
    "old-shale-54": Drawing(above=title("Old shale", ""), repeat=(1, 3, 0)),
    "horseshoe-11": Drawing(
        above=title("Horseshoe", ""), symbols={"k": "x", "yo": "o", "sk2p": "^"},
        key=[("x", "K on RS, P on WS"), ("o", "yarn over"), ("^", "sl 1, k2tog, psso")],
        returns="appear"),
    "horseshoe-31": Drawing(
        above=title("Title: Horseshoe", "Cast on: 31", "Repeat columns: 2-11", ""), repeat=(2, 3, 0),
        symbols={"k": "k", "yo": "yo", "sk2p": "SK2P"}, returns="appear"),
    "horseshoe-ws-first-11": Drawing(above=title("Horseshoe, first row on the wrong side", ""), numbers="sides"),
    "horseshoe-ws-first-31": Drawing(above=title("Horseshoe, first row on the wrong side", ""), numbers="both"),
    "cats-paw-7": Drawing(above=title("Cat's paw", ""), returns="purl"),
    "razor-shell-9": Drawing(
        above=title("Razor shell", ""), numbers="left", symbols={"k": "k", "yo": "0", "s2kp": "3"},
        key=[("k", "knit on RS, purl on WS"), ("0", "yarn over"), ("3", "s2kp")], key_at="below"),
    "razor-shell-33": Drawing(above=title("Razor shell", ""), numbers="sides", repeat=(2, 4, 0)),
    "small-lace-25": Drawing(
        above=[["Small lace"], ["Return rows", "purl"], []], label="{n}.",
        symbols={"k": "|", "yo": "o", "sk2p": "A"},
        key=[("|", "knit"), ("o", "yo"), ("A", "sk2p")], returns="purl"),
    "vine-lace-13": Drawing(
        above=title("Vine lace", ""), label="Row {n}", symbols={"k": "k", "yo": "yo", "ssk": "ssk", "k2tog": "k2tog"},
        returns="appear"),
    "vine-lace-22": Drawing(above=title("Vine lace", ""), returns="purl"),
    "vine-lace-31": Drawing(above=title("Vine lace", ""), repeat=(3, 3, 2), returns="appear", column_numbers="bottom"),
    "gull-7-round": Drawing(above=title("Gull", ""), returns="appear"),
    "gull-7-flat": Drawing(
        above=title("Gull", ""), label="R{n}", symbols={"k": "-", "yo": "o", "ssk": "\\", "k2tog": "/"},
        key=[("-", "k on RS, p on WS"), ("/", "k2tog"), ("\\", "slip, slip, knit"), ("o", "yarn over")],
        returns="appear"),
    "eyelet-chevron-9": Drawing(
        above=title("Eyelet chevron", ""), symbols={"k": "k", "yo": "o", "ssk": "ssk", "k2tog": "k2tog"},
        key=[("k", "knit"), ("o", "yarn over"), ("k2tog", "knit 2 together"), ("ssk", "ssk")], key_at="above",
        returns="appear"),
    "eyelet-chevron-27": Drawing(
        above=[["Eyelet chevron"], ["Cast on", "27"], ["Repeat columns", "1-9"], ["Return rows", "purl"], []],
        repeat=(1, 3, 0), returns="purl"),
    "shetland-eyelet-9": Drawing(above=title("Shetland eyelet", "")),
    "unequal-ends-19": Drawing(
        above=[["Unequal ends"], ["Charted: right-side"], ["First side: WS"], ["Return rows: purl"], []],
        symbols={"k": "k", "yo": "O", "skp": "L", "k2tog": "R", "sk2p": "3"},
        key=[("k", "knit"), ("O", "yarn over"), ("L", "sl 1, k1, psso"), ("R", "k2tog"), ("3", "sl 1, k2tog, psso")],
        key_at="below"),
    "rope-cable-10": Drawing(
        above=title("Rope cable", ""), symbols={"k": "k", "p": "p", "2/2lc": "2/2LC"}, returns="appear"),
    "rope-cable-24": Drawing(above=title("Rope cable", ""), numbers="sides", cables="blanks", repeat=(1, 3, 3)),
    "seed-9": Drawing(
        above=title("Seed stitch", ""), numbers="sides", symbols={"k": "v", "p": "."},
        key=[("v", "k on RS, p on WS"), (".", "p on RS, k on WS")], key_at="below"),
    "moss-9": Drawing(above=title("Moss stitch", ""), numbers="both"),
    "rib-2x2-6": Drawing(above=title("Two by two rib", ""), numbers="sides"),
    "rib-2x2-18": Drawing(above=title("Two by two rib", ""), numbers="right"),
    "ws-first-chart-16": Drawing(above=title("Leaf and rib", ""), numbers="sides"),
}
CASES["rib-2x2-18"].repeat = (1, 4, 2)
