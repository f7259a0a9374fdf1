"""Shapes whose numbers mean something else than a length in mm counted from the centre."""

import json
from decimal import Decimal

from export_files import ods, xlsx
from export_wing import SIDES, Export, Wing, label, number, short, text, words, written

PAIR = """\
tables:
  - labels: [{column: Line, form: ["{row}{point}", "{row}"]}]
    values: [{column: Left, side: left}, {column: Right, side: right}]
"""


def deviations(wing: Wing) -> Export:
    """How much each line is shorter than specified: plus is shorter."""
    rows = [["Line", "Left", "Right"]]
    for group, point in wing.lines():
        wanted = Decimal(str(wing.specified[group][point - 1]))
        values = [wing.value("before", side, group, point) for side in SIDES]
        rows.append([label(group, point), *[written(v and wanted - v) for v in values]])
    plan = words(wing) + "numbers: {means: deviation, longer: minus}\n" + PAIR
    return Export("shorter.csv", text(rows).encode(), plan)


def from_the_tip(wing: Wing) -> Export:
    """Points counted from the tip."""
    rows: list[list[object]] = [["Line", "Left", "Right"]]
    for group, point in wing.lines():
        counted = len(wing.specified[group]) + 1 - point
        values = [number(wing.value("before", side, group, point)) for side in SIDES]
        rows.append([label(group, counted), *values])
    plan = words(wing) + "points_from: tip\n" + PAIR
    return Export("tip.ods", ods({"Lines": rows}), plan)


def repeated(wing: Wing) -> Export:
    """Every point read three times, 0.2 mm above and below and right; the mean holds."""
    rows = [["Line", "L 1", "L 2", "L 3", "R 1", "R 2", "R 3"]]
    off = (Decimal("0.2"), Decimal("-0.2"), Decimal(0))
    for group, point in wing.lines():
        values = [wing.value("before", side, group, point) for side in SIDES]
        cells = [written(None if v is None else v + step) for v in values for step in off]
        rows.append([label(group, point), *cells])
    plan = (
        words(wing)
        + """\
readings: mean
widest_mm: 1
tables:
  - labels: [{column: Line, form: ["{row}{point}", "{row}"]}]
    values: [{form: "{side} {reading}"}]
"""
    )
    return Export("repeated.csv", text(rows).encode(), plan)


def inches(wing: Wing) -> Export:
    """Inches, written as text into a spreadsheet, with not measured points as dashes."""
    rows: list[list[object]] = [["Line", "Left", "Right"]]
    for group, point in wing.lines():
        values = [wing.value("before", side, group, point) for side in SIDES]
        cells = ["–" if v is None else f"{v / Decimal('25.4'):.8f} in" for v in values]
        rows.append([label(group, point), *cells])
    plan = words(wing) + 'numbers: {unit: in, empty: ["–"]}\n' + PAIR
    return Export("inches.xlsx", xlsx({"Lines": rows}), plan)


def with_riser(wing: Wing) -> Export:
    """A riser measured as well, of another length at each row; umlauts in an old encoding."""
    riser = {group: 500 + 2 * n for n, group in enumerate(wing.specified)}
    rows = [["Leinenlänge", "", ""], ["Line", "Left", "Right"]]
    for group, point in wing.lines():
        values = [wing.value("before", side, group, point) for side in SIDES]
        cells = [written(None if v is None else v + riser[group]) for v in values]
        rows.append([label(group, point), *cells])
    added = ", ".join(f"{json.dumps(group)}: -{mm}" for group, mm in riser.items())
    plan = words(wing) + "format: {delimiter: semicolon, encoding: windows-1252}\n"
    plan += f"numbers: {{add_mm: {{{added}}}}}\n" + PAIR
    return Export("riser.txt", text(rows, ";").encode("cp1252"), plan)


def two_byte(wing: Wing) -> Export:
    """UTF-16 with points between thousands, decimal commas and everything in quotes."""
    rows = [["Line", "Left", "Right"]]
    for group, point in wing.lines():
        values = [wing.value("before", side, group, point) for side in SIDES]
        rows.append([label(group, point), *[written(value, ",", ".") for value in values]])
    quoted = [[f'"{cell}"' for cell in row] for row in rows]
    plan = words(wing) + "format: {encoding: utf-16, delimiter: comma}\n"
    plan += "numbers: {decimal: comma, thousands: point}\n" + PAIR
    return Export("two-byte.csv", text(quoted, ",", "\r\n").encode("utf-16"), plan)


def merged_rows(wing: Wing) -> Export:
    """The row's name once, in a cell merged over all its points."""
    rows: list[list[object]] = [["Row", "Point", "Left", "Right"]]
    merged = []
    for group, lengths in wing.specified.items():
        top = len(rows) + 1
        if len(lengths) > 1:
            merged.append(f"A{top}:A{top + len(lengths) - 1}")
        for point in range(1, len(lengths) + 1):
            values = [number(wing.value("before", side, group, point)) for side in SIDES]
            rows.append([None if point > 1 else short(group), point, *values])
    plan = (
        words(wing)
        + """\
tables:
  - labels: [{column: Row, form: "{row}"}, {column: Point, form: "{point}"}]
    values: [{form: "{side}"}]
"""
    )
    return Export("merged.xlsx", xlsx({"Lines": rows}, merged), plan)


def json_tree(wing: Wing) -> Export:
    """JSON: sides, rows and points as keys and places."""
    tree: dict[str, dict[str, list[float | None]]] = {
        side: {
            group: [number(wing.value("before", side, group, n + 1)) for n in range(len(lengths))]
            for group, lengths in wing.specified.items()
        }
        for side in SIDES
    }
    plan = (
        words(wing)
        + """\
format: {records: bench.sides.*.*.*}
tables:
  - labels:
      - {column: key 1, form: "{side}"}
      - {column: key 2, form: "{row}"}
      - {column: key 3, form: "{point}"}
    values: [{column: value}]
"""
    )
    data = json.dumps({"bench": {"load": 50, "sides": tree}}, indent=1, ensure_ascii=False)
    return Export("tree.json", data.encode(), plan)


def json_records(wing: Wing) -> Export:
    """JSON: a list of records, both measurings in one."""
    records = [
        {"line": {"row": group, "no": point, "side": side}, "when": when, "mm": length}
        for (when, side, group, point), length in wing.lengths.items()
    ]
    plan = (
        words(wing)
        + """\
format: {records: readings.*}
tables:
  - labels:
      - {column: line.side, form: "{side}"}
      - {column: line.row, form: "{row}"}
      - {column: line.no, form: "{point}"}
      - {column: when, form: "{when}"}
    values: [{column: mm}]
"""
    )
    data = json.dumps({"readings": records}, ensure_ascii=False)
    return Export("records.json", data.encode(), plan, ("before", "after"))
