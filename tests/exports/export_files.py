"""Write the smallest XLSX and ODS files that hold a table, as other programs' exports do.

Values are None, text, numbers, True and False, dates, and the marks below for what a spreadsheet
can hold besides.
"""

import datetime as dt
import io
import zipfile
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from xml.sax.saxutils import escape, quoteattr

Grid = Sequence[Sequence[object]]


@dataclass(frozen=True)
class Percent:
    """A share that the cell shows as percent."""

    share: float


@dataclass(frozen=True)
class Formula:
    """A formula; `value` None was never worked out, a text starting with # is an error."""

    text: str
    value: float | str | None


def letters(column: int) -> str:
    text = ""
    while column:
        column, last = divmod(column - 1, 26)
        text = chr(ord("A") + last) + text
    return text


def packed(parts: Mapping[str, str | bytes]) -> bytes:
    data = io.BytesIO()
    with zipfile.ZipFile(data, "w") as archive:
        for name, content in parts.items():
            # A fixed date, so that the same table gives the same bytes.
            info = zipfile.ZipInfo(name, (2026, 1, 1, 0, 0, 0))
            archive.writestr(info, content, zipfile.ZIP_DEFLATED)
    return data.getvalue()


_MAIN = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
_OFFICE = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
_KIND = "application/vnd.openxmlformats-officedocument.spreadsheetml"
_PACKAGE = "http://schemas.openxmlformats.org/package/2006/relationships"


def xlsx(
    sheets: Mapping[str, Grid],
    merged: Sequence[str] = (),
    head: str = "",
    extra: Mapping[str, str | bytes] | None = None,
) -> bytes:
    """A workbook; `merged` ranges hold in every sheet, `head` is before each sheet's XML."""
    names = list(sheets)
    book = "".join(
        f'<sheet name={quoteattr(name)} sheetId="{n}" r:id="rId{n}"/>'
        for n, name in enumerate(names, 1)
    )
    relations = "".join(
        f'<Relationship Id="rId{n}" Type="{_OFFICE}/worksheet" Target="worksheets/sheet{n}.xml"/>'
        for n in range(1, len(names) + 1)
    )
    styles = (
        f'<styleSheet xmlns="{_MAIN}"><cellXfs count="3"><xf numFmtId="0"/><xf numFmtId="10"/>'
        '<xf numFmtId="14"/></cellXfs></styleSheet>'
    )
    kinds = "".join(
        f'<Override PartName="/xl/{part}.xml" ContentType="{_KIND}.{kind}+xml"/>'
        for part, kind in [
            ("workbook", "sheet.main"),
            ("styles", "styles"),
            *((f"worksheets/sheet{n}", "worksheet") for n in range(1, len(names) + 1)),
        ]
    )
    parts: dict[str, str | bytes] = {
        "[Content_Types].xml": '<Types xmlns="http://schemas.openxmlformats.org/package/2006/'
        'content-types"><Default Extension="rels" ContentType="application/vnd.openxmlformats-'
        f'package.relationships+xml"/>{kinds}</Types>',
        "_rels/.rels": f'<Relationships xmlns="{_PACKAGE}"><Relationship Id="r" '
        f'Type="{_OFFICE}/officeDocument" Target="xl/workbook.xml"/></Relationships>',
        "xl/workbook.xml": f'<workbook xmlns="{_MAIN}" xmlns:r="{_OFFICE}"><sheets>{book}'
        "</sheets></workbook>",
        "xl/_rels/workbook.xml.rels": f'<Relationships xmlns="{_PACKAGE}">{relations}'
        f'<Relationship Id="s" Type="{_OFFICE}/styles" Target="styles.xml"/></Relationships>',
        "xl/styles.xml": styles,
    }
    for n, grid in enumerate(sheets.values(), 1):
        parts[f"xl/worksheets/sheet{n}.xml"] = head + _xlsx_sheet(grid, merged)
    return packed({**parts, **(extra or {})})


def _xlsx_sheet(grid: Grid, merged: Sequence[str]) -> str:
    rows = []
    for row, values in enumerate(grid, 1):
        cells = "".join(
            _xlsx_cell(f"{letters(column)}{row}", value)
            for column, value in enumerate(values, 1)
            if value is not None
        )
        rows.append(f'<row r="{row}">{cells}</row>')
    ranges = "".join(f'<mergeCell ref="{one}"/>' for one in merged)
    merges = f"<mergeCells>{ranges}</mergeCells>" if merged else ""
    return f'<worksheet xmlns="{_MAIN}"><sheetData>{"".join(rows)}</sheetData>{merges}</worksheet>'


def _xlsx_cell(place: str, value: object) -> str:
    match value:
        case bool():
            return f'<c r="{place}" t="b"><v>{int(value)}</v></c>'
        case int() | float():
            return f'<c r="{place}"><v>{value}</v></c>'
        case Percent(share):
            return f'<c r="{place}" s="1"><v>{share}</v></c>'
        case dt.date():
            return f'<c r="{place}" s="2"><v>{(value - dt.date(1899, 12, 30)).days}</v></c>'
        case Formula(text, None):
            return f'<c r="{place}"><f>{escape(text)}</f></c>'
        case Formula(text, result):
            kind = ' t="e"' if str(result).startswith("#") else ""
            return f'<c r="{place}"{kind}><f>{escape(text)}</f><v>{result}</v></c>'
        case _:
            return f'<c r="{place}" t="inlineStr"><is><t>{escape(str(value))}</t></is></c>'


_ODS = "application/vnd.oasis.opendocument.spreadsheet"
_URN = "urn:oasis:names:tc:opendocument:xmlns"
_SPACES = (
    f'xmlns:office="{_URN}:office:1.0" xmlns:table="{_URN}:table:1.0" xmlns:text="{_URN}:text:1.0" '
    'xmlns:calcext="urn:org:documentfoundation:names:experimental:calc:xmlns:calcext:1.0"'
)


def ods(sheets: Mapping[str, Grid], head: str = "", manifest: str = "") -> bytes:
    """A workbook; a cell whose value is a tuple (value, down, across) is merged over others."""
    tables = "".join(
        f"<table:table table:name={quoteattr(name)}>{_ods_rows(grid)}</table:table>"
        for name, grid in sheets.items()
    )
    return ods_of(tables, head, manifest)


def ods_of(tables: str, head: str = "", manifest: str = "") -> bytes:
    """A workbook of tables that are given as XML."""
    body = f"<office:body><office:spreadsheet>{tables}</office:spreadsheet></office:body>"
    return packed(
        {
            "mimetype": _ODS,
            "content.xml": f"{head}<office:document-content {_SPACES}>{body}"
            "</office:document-content>",
            "META-INF/manifest.xml": f'<manifest:manifest xmlns:manifest="{_URN}:manifest:1.0" '
            'manifest:version="1.2"><manifest:file-entry manifest:full-path="/" '
            f'manifest:media-type="{_ODS}"/><manifest:file-entry manifest:full-path="content.xml" '
            f'manifest:media-type="text/xml"/>{manifest}</manifest:manifest>',
        }
    )


def _ods_rows(grid: Grid) -> str:
    return "".join(
        f"<table:table-row>{''.join(map(_ods_cell, values))}</table:table-row>" for values in grid
    )


def _ods_cell(value: object) -> str:
    span = ""
    if isinstance(value, tuple):
        value, down, across = value
        span = f' table:number-rows-spanned="{down}" table:number-columns-spanned="{across}"'
    cell = f"<table:table-cell{span}"
    match value:
        case None:
            return f"{cell}/>"
        case bool():
            kind, content, text = "boolean", f'boolean-value="{str(value).lower()}"', str(value)
        case int() | float():
            kind, content, text = "float", f'value="{value}"', str(value)
        case Percent(share):
            kind, content, text = "percentage", f'value="{share}"', f"{share:.0%}"
        case dt.date():
            kind, content, text = "date", f'date-value="{value}"', str(value)
        case Formula(formula, None):
            return f'{cell} table:formula="of:={escape(formula)}"/>'
        case Formula(formula, result) if str(result).startswith("#"):
            return (
                f'{cell} table:formula="of:={escape(formula)}" office:value-type="string" '
                'office:string-value="" calcext:value-type="error">'
                f"<text:p>{result}</text:p></table:table-cell>"
            )
        case Formula(formula, result):
            cell += f' table:formula="of:={escape(formula)}"'
            kind, content, text = "float", f'value="{result}"', str(result)
        case _:
            kind, content, text = "string", "", str(value)
    return (
        f'{cell} office:value-type="{kind}" {f"office:{content}" if content else ""}>'
        f"<text:p>{escape(text)}</text:p></table:table-cell>"
    )
