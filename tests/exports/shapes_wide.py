"""Wide and paired shapes: several lengths a row."""

from export_files import Grid, letters, ods, xlsx
from export_wing import SIDES, Export, Wing, label, number, short, text, words, written


def wide(wing: Wing) -> Export:
    """Points down, rows and sides across: `A L`, `A R`, `B L` …"""
    columns = [(group, side) for group in wing.specified for side in SIDES]
    rows = [["Point", *(f"{short(group)} {side[0].upper()}" for group, side in columns), "Remark"]]
    for point in range(1, max(map(len, wing.specified.values())) + 1):
        values = [written(wing.value("before", side, group, point)) for group, side in columns]
        rows.append([str(point), *values, "ok" if point == 1 else ""])
    plan = (
        words(wing)
        + """\
tables:
  - labels: [{column: Point, form: "{point}"}]
    values: [{form: "{row} {side}"}]
"""
    )
    return Export("wide.csv", text(rows).encode(), plan)


def _block(wing: Wing, side: str, when: str = "before") -> Grid:
    """Points down, rows across, for one side."""
    groups = list(wing.specified)
    rows: list[list[object]] = [["#", *map(short, groups)]]
    for point in range(1, max(map(len, wing.specified.values())) + 1):
        values = [number(wing.value(when, side, group, point)) for group in groups]
        rows.append([point, *values])
    return rows


def stacked(wing: Wing) -> Export:
    """Two blocks one below the other, each under the name of its side."""
    rows = [["LEFT SIDE"], *_block(wing, "left"), [], ["RIGHT SIDE"], *_block(wing, "right")]
    rows += [[], ["signed", "I. Corvin"]]
    plan = (
        words(wing)
        + """\
tables:
  - {below: Left side, until: Right side, side: left,
     labels: [{column: "#", form: "{point}"}], values: [{form: "{row}"}]}
  - {below: Right side, until: signed, side: right,
     labels: [{column: "#", form: "{point}"}], values: [{form: "{row}"}]}
"""
    )
    return Export("stacked.xlsx", xlsx({"Lines": rows}), plan)


def beside(wing: Wing) -> Export:
    """Two blocks beside each other, found by their cells."""
    left, right = _block(wing, "left"), _block(wing, "right")
    gap, width, height = 2, len(left[0]), len(left)
    rows: list[list[object]] = [["Left"], []]
    rows += [[None, *a, *[None] * gap, *b] for a, b in zip(left, right, strict=True)]
    ends = [(2, 1 + width), (2 + width + gap, 1 + 2 * width + gap)]
    first, second = (f"{letters(a)}3:{letters(b)}{2 + height}" for a, b in ends)
    plan = (
        words(wing)
        + f"""\
tables:
  - {{cells: "{first}", side: left, sheet: Measured,
     labels: [{{column: "#", form: "{{point}}"}}], values: [{{form: "{{row}}"}}]}}
  - {{cells: "{second}", side: right, sheet: 2,
     labels: [{{column: "#", form: "{{point}}"}}], values: [{{form: "{{row}}"}}]}}
"""
    )
    return Export("beside.ods", ods({"Cover": [["Wing"]], "Measured": rows}), plan)


def turned(wing: Wing) -> Export:
    """Rows down, points across, the sides one below the other in the same block."""
    most = max(map(len, wing.specified.values()))
    rows: list[list[object]] = [["Side", "Row", *[f"P{n + 1}" for n in range(most)]]]
    for side in SIDES:
        for first, group in enumerate(wing.specified):
            values = [number(wing.value("before", side, group, n + 1)) for n in range(most)]
            rows.append([None if first else side, short(group), *values])
    plan = (
        words(wing)
        + """\
tables:
  - labels: [{column: Side, form: "{side}", fill: true}, {column: Row, form: "{row}"}]
    values: [{form: "P{point}"}]
"""
    )
    return Export("turned.ods", ods({"T": rows}), plan)


def paired(wing: Wing) -> Export:
    """Left and right, before and after side by side, under merged headings of two rows."""
    rows: list[list[object]] = [
        ["Line", "Before", None, "After", None],
        [None, "Left", "Right", "Left", "Right"],
    ]
    for group, point in wing.lines():
        values = [
            number(wing.value(when, side, group, point))
            for when in ("before", "after")
            for side in SIDES
        ]
        rows.append([label(group, point), *values])
    plan = (
        words(wing)
        + """\
tables:
  - header: [1, 2]
    labels: [{column: Line, form: ["{row}{point}", "{row}"]}]
    values: [{form: "{when} {side}"}]
"""
    )
    data = xlsx({"Both": rows}, merged=["A1:A2", "B1:C1", "D1:E1"])
    return Export("paired.xlsx", data, plan, ("before", "after"))


def paired_text(wing: Wing) -> Export:
    """The same in text, where an upper heading is over the empty ones to its right."""
    rows = [["", "in", "", "out", ""], ["Line", "L", "R", "L", "R"]]
    for group, point in wing.lines():
        values = [
            written(wing.value(when, side, group, point), ",")
            for when in ("before", "after")
            for side in SIDES
        ]
        rows.append([label(group, point), *values])
    plan = (
        words(wing)
        + """\
  when: {before: in, after: out}
format: {delimiter: semicolon}
numbers: {decimal: comma}
tables:
  - header: [1, 2]
    labels: [{column: Line, form: ["{row}{point}", "{row}"]}]
    values: [{form: "{when} {side}"}]
"""
    )
    return Export("paired.csv", text(rows, ";").encode(), plan, ("before", "after"))
