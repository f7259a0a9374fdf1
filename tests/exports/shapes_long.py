"""Long shapes: one length a line."""

import json

from export_files import xlsx
from export_wing import Export, Wing, label, number, short, text, words, written


def long_plain(wing: Wing) -> Export:
    """One length a line, side and row and point in columns, other columns between."""
    rows = [["No", "Side", "Row", "Point", "Load", "Length"]]
    for count, ((_, side, group, point), _) in enumerate(wing.only("before").items(), 1):
        value = written(wing.value("before", side, group, point))
        rows.append([str(count), side[0].upper(), short(group), str(point), "50", value])
    plan = (
        words(wing)
        + """\
tables:
  - labels:
      - {column: side, form: "{side}"}
      - {column: row, form: "{row}"}
      - {column: point, form: "{point}"}
    values: [{column: length}]
"""
    )
    return Export("long.csv", text(rows).encode(), plan)


def long_comma(wing: Wing) -> Export:
    """Semicolons, decimal commas, thin spaces between thousands, a byte order mark, notes."""
    rows = [["Prüfbank 3", "", ""], ["", "", ""], ["Leine", "Seite", "Länge"]]
    for _, side, group, point in wing.only("before"):
        value = written(wing.value("before", side, group, point), ",", "\u202f")
        rows.append([label(group, point), {"left": "li", "right": "re"}[side], value])
    rows += [["", "", ""], ["geprüft: Corvin", "", ""], ["Ende", "ok", "fertig"]]
    plan = (
        words(wing)
        + """\
format: {delimiter: semicolon}
numbers: {decimal: comma}
tables:
  - labels:
      - {column: Leine, form: ["{row}{point}", "{row}"]}
      - {column: Seite, form: "{side}"}
    values: [{column: Länge}]
    skip: Ende
"""
    )
    return Export("long-comma.csv", b"\xef\xbb\xbf" + text(rows, ";", "\r\n").encode(), plan)


def one_label(wing: Wing) -> Export:
    """A label such as `A12 L` and the length in centimetres, parted by tabs."""
    rows = [["line", "cm"]]
    for _, side, group, point in wing.only("before"):
        value = wing.value("before", side, group, point)
        name = f"{label(group, point)} {side[0].upper()}"
        rows.append([name, written(value / 10 if value is not None else None)])
    plan = (
        words(wing)
        + """\
format: {delimiter: tab}
numbers: {unit: cm}
tables:
  - labels: [{column: line, form: ["{row}{point} {side}", "{row} {side}"]}]
    values: [{column: cm}]
"""
    )
    return Export("labels.tsv", text(rows, "\t").encode(), plan)


def dashed_label(wing: Wing) -> Export:
    """A label such as `L-A-12`, lengths in metres as numbers of a spreadsheet."""
    rows: list[list[object]] = [["Jig report"], [], ["Tag", "Note", "m"]]
    for _, side, group, point in wing.only("before"):
        value = wing.value("before", side, group, point)
        tag = f"{side[0].upper()}-{short(group)}-{point}"
        rows.append([tag, None, number(value / 1000 if value is not None else None)])
    plan = (
        words(wing)
        + """\
numbers: {unit: m}
tables:
  - labels: [{column: Tag, form: "{side}-{row}-{point}"}]
    values: [{column: m}]
"""
    )
    return Export("dashed.xlsx", xlsx({"Run 1": rows, "Settings": [["unit", "m"]]}), plan)


def spoken_label(wing: Wing) -> Export:
    """A label such as `a 12 left`; bars between cells, no headings, blanks around."""
    rows = []
    for _, side, group, point in wing.only("before"):
        value = written(wing.value("before", side, group, point))
        rows.append([f" {short(group).lower()} {point} {side} ", f" {value} mm "])
    plan = (
        words(wing)
        + """\
format: {delimiter: bar, encoding: windows-1252}
tables:
  - labels: [{at: A, form: "{row} {point} {side}"}]
    values: [{at: B}]
"""
    )
    return Export("spoken.txt", text(rows, "|").encode("cp1252"), plan)


def by_blanks(wing: Wing) -> Export:
    """Columns of a plain text, lined up with blanks."""
    rows = []
    for _, side, group, point in wing.only("before"):
        value = written(wing.value("before", side, group, point))
        rows.append(f"{side:6}  {short(group).replace(' ', '_'):10} {point:3}   {value:>10}\n")
    spaced = [group for group in wing.specified if " " in group]
    head = words(wing)
    for group in spaced:
        head = head.replace(f"{json.dumps(group)}: []", f'"{group}": "{group.replace(" ", "_")}"')
    plan = (
        head
        + """\
format: {delimiter: blanks}
tables:
  - labels: [{at: A, form: "{side}"}, {at: B, form: "{row}"}, {at: C, form: "{point}"}]
    values: [{at: D}]
"""
    )
    return Export("blanks.txt", "".join(rows).encode(), plan)
