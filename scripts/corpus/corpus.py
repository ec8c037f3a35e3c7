"""Drawings of the demo archive: corpus/COLLECTION/FILE from tests/cases/corpus/COLLECTION/FILE[.CHART].rows."""

import shutil
import subprocess

import files
from chart import Drawing, Fill, Sheet, draw, settings
from looks import box, squares, touched


def lines(*words):
    return [w if isinstance(w, list) else [w] for w in words]


PLAIN = {}  # file options

WOOL = {"storm": "1F3B57", "foam": "F4F1E6", "moss": "6B7F3A", "buoy-red": "B3352B"}

# path: (file options, [(sheet name, drawing or lines of a key, what is done to the sheet), ...]); charts of one sheet
# stand below each other.
FILES = {
    "tideline/sand-ripple.csv": (PLAIN, [("", Drawing(
        above=lines("Sand Ripple", "Cast on: 23", "Repeat columns: 3-8", "Return rows: K3, p to last 3 sts, k3", []),
        repeat=(3, 3, 3)))]),
    "tideline/foam-lace.xlsx": (PLAIN, [("Foam Lace", Drawing(
        above=lines("Foam Lace", []), symbols={"k": "-"}, edges=(("g", "g"), ("g", "g")), garter=(2, 2), returns="appear",
        key=[("-", "K on RS, P on WS"), ("g", "knit every row"), ("o", "yarn over"), ("^", "sl 2 as if to k2tog, k1, p2sso"),
             ("/", "knit 2 together"), ("\\", "ssk")]))]),
    "tideline/double-eyelet.csv": ({"delimiter": ";"}, [("", Drawing(
        above=lines("Double Eyelet", ["Return rows", "purl"], []), label="Row {n}", returns="purl"))]),
    "tideline/kelp-fronds.ods": (PLAIN, [("Kelp Fronds", Drawing(above=lines("Kelp Fronds", []), numbers="both"))]),
    "tideline/saltwort.csv": ({"newline": "\r\n"}, [("", Drawing(
        above=lines("Saltwort", "Yarn: fine wool, one strand", []), no_stitch={3: [2, 6, 8, 12, 14, 18]}, ns="#",
        returns="appear"))]),

    "harbour-wall/mooring-rope.xlsx": (PLAIN, [("Mooring Rope", Drawing(
        above=lines("Mooring Rope", []), numbers="sides", cables="merged",
        symbols={"k": "v", "p": ".", "2/2rc": "R", "2/2lc": "L"}, key_at="below",
        key=[("v", "k on RS, p on WS"), (".", "p on RS, k on WS"), ("R", "2/2 RC"), ("L", "2/2 LC")]))]),
    "harbour-wall/anchor-cable.ods": (PLAIN, [("Anchor Cable", Drawing(
        above=lines("Anchor Cable", []), cables="merged", returns="appear"))]),
    "harbour-wall/net-braid.csv": (PLAIN, [("", Drawing(above=lines("Net Braid", []), numbers="left"))]),
    "harbour-wall/bobble-buoy.xlsx": (PLAIN, [("Bobble Buoy", Drawing(
        above=lines("Bobble Buoy", []), column_numbers="bottom"))]),

    "pebble-book/shingle.tsv": (PLAIN, [("", Drawing(above=lines("Shingle", []), numbers="sides"))]),
    "pebble-book/cobble-moss.csv": ({"encoding": "utf-16-le", "bom": True, "newline": "\r\n"}, [("", Drawing(
        above=lines("Cobble Moss", []), symbols={"k": "□", "p": "■"}, numbers="both",
        key=[("□", "knit"), ("■", "purl")], key_at="below"))]),
    "pebble-book/slipped-edge.csv": ({"encoding": "cp1252", "newline": "\r\n"}, [("", Drawing(
        above=lines("Brae – slipped edge", []), symbols={"p": "·", "yo": "°"}, edges=(("E",), ("E",))))]),
    "pebble-book/terrace.csv": (PLAIN, [("", Drawing(
        above=lines("Terrace", "Skipped rows: purl", []), numbers="both"))]),
    "pebble-book/samphire-knot.xlsx": (PLAIN, [("Samphire Knot", Drawing(
        above=lines("Samphire Knot", []), numbers="sides", wide=("pkp",), symbols={"pkp": "V", "k3tog": "A"},
        key=[("V", "(p1, k1, p1) in one st"), ("A", "k3tog")]))]),

    "shawls/gull-wing-shawl.xlsx": (PLAIN, [("Gull Wing", Drawing(
        above=lines("Gull Wing Shawl", ["Cast on", 7], ["Return rows", "K2, p to last 2 sts, k2"], []), align="centre"))]),
    "shawls/keel-triangle.csv": (PLAIN, [("", Drawing(
        above=lines("Title: Keel Triangle", "Return rows: K1, p to last st, k1", []), align="centre", pad="#",
        key=[("#", "no stitch")]))]),

    "rounds/lighthouse-cap.xlsx": (PLAIN, [("Crown", Drawing(
        above=lines("Lighthouse Cap, crown", "Cast on: 64", "Repeat columns: 1-8", []), repeat=(1, 8, 0), align="right"))]),
    "rounds/spindrift-cowl.csv": (PLAIN, [("", Drawing(
        above=lines("Spindrift Cowl", []), label="Rnd {n}", returns="appear"))]),
    "rounds/rock-pool-mitten.ods": (PLAIN, [("Mitten", Drawing(
        above=lines("Rock Pool Mitten, back of the hand", []), numbers="right"))]),

    "workroom/jetty-edging.csv": (PLAIN, [("", Drawing(
        above=lines("Jetty Edging", "First side: WS", []), numbers="sides"))]),
    "workroom/sandpiper-left.csv": (PLAIN, [("", Drawing(
        above=lines("Sandpiper, for left-handed knitters", "Hand: left", "Return rows: purl", []), hand="left"))]),
    "workroom/bell-and-buoy.xlsx": (PLAIN, [
        ("Motifs", Drawing(above=lines("Bell", []), returns="appear")),
        ("Motifs", Drawing(above=lines("Buoy", []), numbers="sides"))]),
    "workroom/sleeve-set.ods": (PLAIN, [
        ("Left sleeve", Drawing(symbols={"k": "x"}, numbers="both")),
        ("Right sleeve", Drawing(symbols={"k": "x"}, numbers="both")),
        ("Key", [["x", "K on RS, P on WS"], ["o", "yarn over"], ["/", "k2tog"], ["\\", "ssk"]])]),
    "workroom/ladder-from-the-top.csv": (PLAIN, [("", Drawing(
        above=lines("Ladder from the Top", "First row: top", []), top_first=True, numbers="sides"))]),
    "workroom/gannet-panel.xlsx": (PLAIN, [("Panel", Drawing(
        above=lines("Gannet Panel", "For the winter leaflet, to be worked again in a lighter yarn",
                    "Return rows: knit", []),
        label="{n} ({side})", below=lines("Yarn: two balls of island wool", "Worked over 17 sts and 6 rows."),
        returns="knit"))]),

    "net-loft/skerry-check.xlsx": (PLAIN, [("Skerry Check", Drawing(
        above=lines("Skerry Check", "Cast on: 25", []), symbols={"k": ""}, colours=WOOL, numbers="sides",
        repeat=(2, 4, 0), key=[(Fill(WOOL["buoy-red"]), "buoy-red")], key_at="below"), squares(), box(2, 7))]),
    "net-loft/tern-yoke.ods": (PLAIN, [("Yoke", Drawing(
        above=lines("Tern Yoke", "Worked: in the round", "Cast on: 32", "Repeat columns: 1-8", []), symbols={"k": ""},
        colours=WOOL, repeat=(1, 4, 0), align="right"), squares())]),

    "attic/hap-border.xls": (PLAIN, [("Blad1", Drawing(
        above=lines("Hap border, as knitted in 1998", []), numbers="right", symbols={"yo": 1, "k2tog": 2}))]),
    "attic/hap-centre.xls": ({"by": "office"}, [("Hap centre", Drawing(
        above=lines("Hap centre", []), numbers="sides", cables="merged"))]),
    "attic/storm-lantern.fods": (PLAIN, [("Lantern", Drawing(
        above=lines("Storm Lantern", []), label="R{n}", cables="merged"))]),
    "attic/ebb.xlsb": (PLAIN, [("Ebb", Drawing(
        above=lines("Ebb", []), returns="appear"))]),
}


def letter(n):
    return "ABCDEFGH"[n]


def make(root, only=None):
    rows_folder = root / "tests" / "cases" / "corpus"
    wanted = set()
    for path, (how, parts) in FILES.items():
        target = root / "corpus" / path
        charts = [part for part in parts if isinstance(part[1], Drawing)]
        toml = settings(target.parent, root / "corpus")
        sheets, below, number = {}, {}, 0
        for name, part, *touches in parts:
            sheet = sheets.setdefault(name, Sheet(name or "Sheet1"))
            if isinstance(part, Drawing):
                ending = f".{letter(number)}.rows" if len(charts) > 1 else ".rows"
                source = rows_folder / (path + ending)
                wanted.add(source)
                below[name] = draw(source, part, toml, sheet, top=below.get(name, -2) + 2)
                touched(sheet, touches)
                number += 1
            else:
                for r, line in enumerate(part):
                    for c, value in enumerate(line):
                        sheet.put(r, c, value)
        if only and only not in path:
            continue
        if target.suffix == ".xlsb" and not has_sheetjs():
            print(f"{path} left as it is: xlsx@0.18.5 for node is not there (see README.md)")
            continue
        files.write(list(sheets.values()), target, **how)
    strays = set(rows_folder.rglob("*.rows")) ^ wanted
    if strays:
        raise SystemExit(f"corpus: rows and drawings differ: {strays}")


def has_sheetjs():
    return shutil.which("node") and subprocess.run(
        ["node", "-e", "require('xlsx')"], stderr=subprocess.DEVNULL).returncode == 0
