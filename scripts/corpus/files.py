"""Writes sheets as files, the same bytes every time."""

import csv
import datetime
import io
import re
import subprocess
import tempfile
import zipfile
from pathlib import Path

from chart import Formula

DAY = datetime.datetime(2020, 1, 1)
ZIP_DAY = (2020, 1, 1, 0, 0, 0)


def write_csv(sheet, path, delimiter=",", encoding="utf-8", newline="\n", bom=False, quote_all=False):
    out = io.StringIO()
    quoting = csv.QUOTE_ALL if quote_all else csv.QUOTE_MINIMAL
    writer = csv.writer(out, delimiter=delimiter, lineterminator=newline, quoting=quoting)
    for line in sheet.lines():
        writer.writerow(line)
    text = ("\ufeff" if bom else "") + out.getvalue()
    path.write_bytes(text.encode(encoding))


def workbook(sheets):
    import openpyxl
    from openpyxl.comments import Comment
    from openpyxl.formatting.rule import CellIsRule
    from openpyxl.styles import Border, PatternFill, Side

    book = openpyxl.Workbook()
    book.remove(book.active)
    for sheet in sheets:
        page = book.create_sheet(sheet.name)
        for (r, c), value in sorted(sheet.cells.items()):
            cell = page.cell(r + 1, c + 1)
            cell.value = value
            if isinstance(value, str) and value.startswith("=") and not isinstance(value, Formula):
                cell.data_type = "s"
            if isinstance(value, datetime.date):
                cell.number_format = "d-mmm"
        for r, first, last in sheet.merged:
            page.merge_cells(start_row=r + 1, end_row=r + 1, start_column=first + 1, end_column=last + 1)
        for (r, c), colour in sheet.fills.items():
            page.cell(r + 1, c + 1).fill = PatternFill("solid", fgColor="FF" + colour)
        for (r, c), sides in sorted(sheet.borders.items()):
            page.cell(r + 1, c + 1).border = Border(**{
                side: Side(style=style, color="FF" + colour) for side, (style, colour) in sides.items()})
        for (r, c), words in sorted(sheet.comments.items()):
            page.cell(r + 1, c + 1).comment = Comment(words, "Thornsay")
        for cells, colour in sheet.conditions:
            page.conditional_formatting.add(cells, CellIsRule(operator="equal", formula=['"x"'], fill=PatternFill(
                "solid", bgColor="FF" + colour)))
        for c in sheet.square:
            page.column_dimensions[openpyxl.utils.get_column_letter(c + 1)].width = 4
        for r in sheet.hidden_rows:
            page.row_dimensions[r + 1].hidden = True
        for c in sheet.hidden_columns:
            page.column_dimensions[openpyxl.utils.get_column_letter(c + 1)].hidden = True
    book.properties.creator = "Thornsay Harbour Leaflets"
    book.properties.created = DAY
    return book


def write_xlsx(sheets, path):
    out = io.BytesIO()
    workbook(sheets).save(out)
    path.write_bytes(same_zip(out.getvalue()))


STAMPS = [
    (re.compile(rb"(<dcterms:(created|modified)[^>]*>)[^<]*"), rb"\g<1>2020-01-01T00:00:00Z"),
    (re.compile(rb"(<(dc:date|meta:creation-date)>)[^<]*"), rb"\g<1>2020-01-01T00:00:00"),
    (re.compile(rb"(<meta:generator>)[^<]*"), rb"\g<1>Office"),
    (re.compile(rb"<text:(date|time)[ >].*?</text:(date|time)>", re.S), rb""),
    (re.compile(rb"(<config:config-item config:name=\"PrinterName\"[^>]*>)[^<]*"), rb"\g<1>"),
    (re.compile(rb"<meta:document-statistic[^>]*/>"), rb""),
]


def same_text(data):
    for pattern, new in STAMPS:
        data = pattern.sub(new, data)
    # LibreOffice lists the page styles of the sheets in any order.
    pages = re.findall(rb"<style:master-page .*?</style:master-page>", data, re.S)
    if pages:
        start, end = data.index(pages[0]), data.rindex(pages[-1]) + len(pages[-1])
        if data[start:end] == b"".join(pages):
            data = data[:start] + b"".join(sorted(pages)) + data[end:]
    return data


def same_zip(data):
    """The archive with its clocks stopped, without previews."""
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(data)) as old, zipfile.ZipFile(out, "w") as new:
        for entry in old.infolist():
            if entry.filename.startswith(("Thumbnails/", "Configurations2/")):
                continue
            info = zipfile.ZipInfo(entry.filename, ZIP_DAY)
            stored = entry.filename == "mimetype" or entry.filename.endswith("/")
            info.compress_type = zipfile.ZIP_STORED if stored else zipfile.ZIP_DEFLATED
            body = old.read(entry)
            if entry.filename == "META-INF/manifest.xml":
                body = re.sub(rb'\s*<manifest:file-entry[^>]*"(Thumbnails|Configurations2)/[^>]*/>', b"", body)
            new.writestr(info, same_text(body))
    return out.getvalue()


def converted(sheets, path, ending, filter_name=None):
    """Through LibreOffice, from a workbook."""
    with tempfile.TemporaryDirectory() as folder:
        folder = Path(folder)
        source = folder / (path.stem + ".xlsx")
        write_xlsx(sheets, source)
        target = f"{ending}:{filter_name}" if filter_name else ending
        subprocess.run(
            ["soffice", f"-env:UserInstallation=file://{folder}/profile", "--headless", "--convert-to", target,
             "--outdir", str(folder / "out"), str(source)],
            check=True, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
        data = (folder / "out" / f"{path.stem}.{ending}").read_bytes()
    if ending == "ods":
        data = same_zip(data)
    elif ending == "fods":
        data = same_text(data)
    path.write_bytes(data)


def without_extensions(path):
    """An .ods as programs write it that know no conditional formats but those of the styles."""
    out, old = io.BytesIO(), zipfile.ZipFile(path)
    with old, zipfile.ZipFile(out, "w") as new:
        for entry in old.infolist():
            body = old.read(entry)
            if entry.filename == "content.xml":
                body = re.sub(rb"<calcext:conditional-formats>.*?</calcext:conditional-formats>", b"", body, flags=re.S)
            new.writestr(entry, body)
    path.write_bytes(out.getvalue())


def write_xls(sheets, path):
    """The old binary workbook, by xlwt."""
    import xlwt

    book = xlwt.Workbook()
    for sheet in sheets:
        page = book.add_sheet(sheet.name)
        merged = {(r, first): last for r, first, last in sheet.merged}
        for (r, c), value in sorted(sheet.cells.items()):
            if (r, c) in merged:
                page.write_merge(r, r, c, merged[(r, c)], value)
            else:
                page.write(r, c, value)
    book.save(str(path))


def write_xlsb(sheets, path):
    """The newer binary workbook, by SheetJS (see README.md)."""
    import json

    script = Path(__file__).with_name("xlsb.js")
    data = [{"name": s.name, "lines": s.lines(), "merged": s.merged,
             "comments": [[r, c, words] for (r, c), words in sorted(s.comments.items())]} for s in sheets]
    subprocess.run(["node", str(script), str(path)], input=json.dumps(data).encode(), check=True)
    path.write_bytes(same_zip(path.read_bytes()))


def write(sheets, path, **how):
    """By the file's ending, or the one named by `by` ("office" is LibreOffice's .xls)."""
    path.parent.mkdir(parents=True, exist_ok=True)
    how = dict(how)
    by = how.pop("by", None)
    ending = by if by in ("csv", "xlsx") else path.suffix[1:]
    if ending == "csv":
        write_csv(sheets[0], path, **how)
    elif ending == "tsv":
        write_csv(sheets[0], path, delimiter="\t", **how)
    elif ending == "xlsx":
        write_xlsx(sheets, path)
    elif ending in ("ods", "fods"):
        converted(sheets, path, ending)
    elif ending == "xls" and by == "office":
        converted(sheets, path, "xls", "MS Excel 97")
    elif ending == "xls":
        write_xls(sheets, path)
    elif ending == "xlsb":
        write_xlsb(sheets, path)
    else:
        raise ValueError(f"no writer for {path}")
