"""Grids, blocks, sheets and trees: many lengths a row, or the same table again and again."""

import json

from bench_lists import _abc
from bench_wing import SIDES, Grid, Made, case, table, wing
from export_files import ods, xlsx
from old_excel import xls


def grid(w, when, sides, heads, first="", groups=None) -> Grid:
    """Points down; a column for each row of the wing and side."""
    groups = groups or [g for g in w.specified if len(g) == 1]
    rows: Grid = [[first, *heads]]
    for n in range(1, max(len(w.specified[g]) for g in groups) + 1):
        rows.append(
            [
                n,
                *(
                    w.at(when, s, g, n) if n <= len(w.specified[g]) else None
                    for s in sides
                    for g in groups
                ),
            ]
        )
    return rows


def _groups(w):
    return [g for g in w.specified if len(g) == 1]


def _whole(w, *whens):
    return w.truth(whens, SIDES, _abc(w))


@case
def en_before_and_after_sheets() -> Made:
    w = wing("medlar-m")
    sheets = {
        name: grid(w, when, SIDES, [f"{g} {s}" for s in SIDES for g in _groups(w)], "Point")
        for name, when in (("Before", "before"), ("After", "after"))
    }
    return Made("two.xlsx", xlsx(sheets), _whole(w, "before", "after"), w)


@case
def en_blocks_side_by_side() -> Made:
    w = wing("medlar-m")
    left = grid(w, "before", ("left",), _groups(w), "#")
    right = grid(w, "before", ("right",), _groups(w), "#")
    rows: Grid = [["Before", None], ["Left wing", None, None, None, None, "Right wing"]]
    rows += [[*a, None, *b] for a, b in zip(left, right, strict=True)]
    return Made("blocks.xlsx", xlsx({"Sheet1": rows}), _whole(w, "before"), w)


@case
def en_blocks_side_by_side_unnamed() -> Made:
    w = wing("medlar-m")
    left = grid(w, "before", ("left",), _groups(w), "#")
    right = grid(w, "before", ("right",), _groups(w), "#")
    rows: Grid = [["Measured before work"], []]
    rows += [[*a, None, *b] for a, b in zip(left, right, strict=True)]
    return Made(
        "unnamed.xlsx",
        xlsx({"Sheet1": rows}),
        _whole(w, "before"),
        w,
        answers={"blocks": "left,right"},
    )


@case
def en_before_over_after() -> Made:
    w = wing("quince-s")
    rows: Grid = []
    for title, when in (("Before trimming", "before"), ("After trimming", "after")):
        rows += [[title], ["Line", "Left", "Right"]]
        rows += [
            [f"{g}{n}", w.at(when, "left", g, n), w.at(when, "right", g, n)] for g, n in _abc(w)
        ]
        rows += [[]]
    return Made("stack.csv", table(rows), _whole(w, "before", "after"), w)


@case
def en_sheet_per_row() -> Made:
    w = wing("bullace-l")
    sheets = {
        f"{g} lines": [
            ["Pos", "L before", "R before", "L after", "R after"],
            *(
                [n, *(w.at(t, s, g, n) for t in ("before", "after") for s in SIDES)]
                for _, n in w.lines(g)
            ),
        ]
        for g in _groups(w)
    }
    return Made("rows.xlsx", xlsx(sheets), _whole(w, "before", "after"), w)


@case
def en_sheet_per_side() -> Made:
    w = wing("medlar-m")
    sheets = {
        s.title(): [
            ["line", "spec", "received", "returned"],
            *(
                [f"{g}{n}", w.spec(g, n), w.at("before", s, g, n), w.at("after", s, g, n)]
                for g, n in _abc(w)
            ),
        ]
        for s in SIDES
    }
    return Made("sides.ods", ods(sheets), _whole(w, "before", "after"), w)


@case
def en_two_header_rows_merged() -> Made:
    w = wing("medlar-m")
    rows: Grid = [["Line", "Before", None, "After", None], [None, "L", "R", "L", "R"]]
    rows += [
        [f"{g}{n}", *(w.at(t, s, g, n) for t in ("before", "after") for s in SIDES)]
        for g, n in _abc(w)
    ]
    return Made(
        "merged.xlsx", xlsx({"S": rows}, merged=["B1:C1", "D1:E1"]), _whole(w, "before", "after"), w
    )


@case
def en_three_header_rows() -> Made:
    w = wing("quince-s")
    rows: Grid = [
        ["Pt", *["A"] + [None] * 3, "B", None, None, None],
        ["", "left", "", "right", "", "left", "", "right", ""],
        ["", *["factory", "measured"] * 4],
    ]
    for n in range(1, 11):
        rows.append(
            [n, *(v for g in "AB" for s in SIDES for v in (w.spec(g, n), w.at("before", s, g, n)))]
        )
    return Made(
        "three.xlsx", xlsx({"Check": rows}), _whole(w, "before"), w, answers={"when": "before"}
    )


@case
def en_row_merged_in_first_column() -> Made:
    w = wing("quince-s")
    rows: Grid = [["Row", "No", "left in", "right in", "left out", "right out"]]
    for g in _groups(w):
        for _, n in w.lines(g):
            rows.append(
                [
                    g if n == 1 else None,
                    n,
                    *(w.at(t, s, g, n) for t in ("before", "after") for s in SIDES),
                ]
            )
    return Made("fill.xlsx", xlsx({"S": rows}), _whole(w, "before", "after"), w)


@case
def en_points_across() -> Made:
    w = wing("medlar-m")
    rows: Grid = [["Received", *(f"{n}" for n in range(1, 13))]]
    for g in _groups(w):
        for s in SIDES:
            rows.append([f"{g} {s}", *(w.at("before", s, g, n) for _, n in w.lines(g))])
    return Made("across.csv", table(rows), _whole(w, "before"), w)


@case
def en_block_per_row() -> Made:
    w = wing("medlar-m")
    rows: Grid = [["Final measurement after work"], []]
    for g in _groups(w):
        rows += [[f"Row {g}"], ["Line no", "Left", "Right"]]
        rows += [[n, *(w.at("after", s, g, n) for s in SIDES)] for _, n in w.lines(g)]
        rows += [[]]
    return Made("perrow.xlsx", xlsx({"Final": rows}), _whole(w, "after"), w)


@case
def en_spec_sheet_too() -> Made:
    w = wing("medlar-m")
    spec = [["#", *_groups(w)], *([n, *(w.spec(g, n) for g in _groups(w))] for n in range(1, 13))]
    sheets = {
        "Specification": spec,
        "Left": grid(w, "before", ("left",), _groups(w), "#"),
        "Right": grid(w, "before", ("right",), _groups(w), "#"),
    }
    return Made("withspec.xlsx", xlsx(sheets), _whole(w, "before"), w, answers={"when": "before"})


@case
def en_two_unnamed_sheets() -> Made:
    w = wing("quince-s")

    def make(when):
        return [
            ["Line", "Left", "Right"],
            *([f"{g}{n}", *(w.at(when, s, g, n) for s in SIDES)] for g, n in _abc(w)),
        ]

    return Made(
        "s12.xlsx",
        xlsx({"Sheet1": make("before"), "Sheet2": make("after")}),
        _whole(w, "before", "after"),
        w,
        answers={"measurings": "before,after"},
    )


@case
def en_dates_as_sheets() -> Made:
    w = wing("quince-s")

    def make(when):
        return [
            ["Line", "Left", "Right"],
            *([f"{g}{n}", *(w.at(when, s, g, n) for s in SIDES)] for g, n in _abc(w)),
        ]

    return Made(
        "dates.ods",
        ods({"12 March": make("before"), "15 March": make("after")}),
        _whole(w, "before", "after"),
        w,
        answers={"measurings": "before,after"},
    )


@case
def en_one_side_unsaid() -> Made:
    w = wing("quince-s")
    rows: Grid = [
        ["Line", "Length before"],
        *([f"{g}{n}", w.at("before", "left", g, n)] for g, n in _abc(w)),
    ]
    return Made(
        "oneside.csv",
        table(rows),
        w.truth(("before",), ("left",), _abc(w)),
        w,
        answers={"side": "left"},
    )


@case
def en_columns_one_two() -> Made:
    w = wing("quince-s")
    rows: Grid = [
        ["Line", "Value 1", "Value 2"],
        *([f"{g}{n}", *(w.at("before", s, g, n) for s in SIDES)] for g, n in _abc(w)),
    ]
    return Made(
        "values.csv",
        table(rows),
        _whole(w, "before"),
        w,
        answers={"when": "before", "columns": "left,right"},
    )


@case
def en_tip_to_centre() -> Made:
    w = wing("medlar-m")
    rows: Grid = [["From tip", *(f"{g} {s[0].upper()}" for g in _groups(w) for s in SIDES)]]
    for n in range(1, 13):
        rows.append([n, *(w.at("before", s, g, 13 - n) for g in _groups(w) for s in SIDES)])
    return Made("tip.csv", table(rows), _whole(w, "before"), w, answers={"when": "before"})


@case
def de_zwei_blaetter() -> Made:
    w = wing("medlar-m")

    def make(when):
        return [
            ["Leine", "Soll", "links", "rechts"],
            *([f"{g}{n}", w.spec(g, n), *(w.at(when, s, g, n) for s in SIDES)] for g, n in _abc(w)),
        ]

    return Made(
        "Protokoll.xlsx",
        xlsx({"Vorher": make("before"), "Nachher": make("after")}),
        _whole(w, "before", "after"),
        w,
        "de",
    )


@case
def de_ebenen_breit() -> Made:
    w = wing("medlar-m")
    rows = grid(
        w,
        "before",
        SIDES,
        [f"{g}-Ebene {s}" for s in ("links", "rechts") for g in _groups(w)],
        "Nr.",
    )
    return Made(
        "ebenen.csv",
        table([["Eingangsvermessung"], *rows], ";", "cp1252", ","),
        _whole(w, "before"),
        w,
        "de",
    )


@case
def de_mit_mittelwert() -> Made:
    w = wing("quince-s")
    rows: Grid = [["Ausgangskontrolle"], ["Leine", "links", "rechts", "Mittelwert", "Differenz"]]
    for g, n in _abc(w):
        a, b = (w.at("after", s, g, n) for s in SIDES)
        rows.append([f"{g}{n}", a, b, (a + b) / 2, a - b])
    rows.append(["Mittelwert", 6200.0, 6201.0, 6200.5, -1.0])
    return Made("mittel.ods", ods({"Tabelle1": rows}), _whole(w, "after"), w, "de")


@case
def fr_feuilles() -> Made:
    w = wing("quince-s")

    def make(when):
        return grid(
            w, when, SIDES, [f"{g} {s}" for s in ("gauche", "droite") for g in _groups(w)], "n°"
        )

    return Made(
        "voile.ods",
        ods({"Avant réglage": make("before"), "Après réglage": make("after")}),
        _whole(w, "before", "after"),
        w,
        "fr",
    )


@case
def fr_cote_par_cote() -> Made:
    w = wing("medlar-m")
    left, right = (grid(w, "after", (s,), _groups(w), "N°") for s in SIDES)
    rows: Grid = [
        ["Contrôle final, après calage"],
        ["Côté gauche", None, None, None, None, "Côté droit"],
    ]
    rows += [[*a, None, *b] for a, b in zip(left, right, strict=True)]
    return Made("cotes.csv", table(rows, ";", "utf-8"), _whole(w, "after"), w, "fr")


@case
def es_hojas_por_lado() -> Made:
    w = wing("quince-s")
    sheets = {
        name: [
            ["Línea", "Fábrica", "Antes", "Después"],
            *(
                [f"{g}{n}", w.spec(g, n), w.at("before", s, g, n), w.at("after", s, g, n)]
                for g, n in _abc(w)
            ),
        ]
        for name, s in (("Izquierda", "left"), ("Derecha", "right"))
    }
    return Made("lados.xls", xls(sheets), _whole(w, "before", "after"), w, "es")


@case
def es_bloques() -> Made:
    w = wing("medlar-m")
    rows: Grid = []
    for title, when in (("Al recibir", "before"), ("Al entregar", "after")):
        rows += [[title], ["Punto", *(f"{g} {s}" for g in _groups(w) for s in ("izq", "der"))]]
        rows += [
            [n, *(w.at(when, s, g, n) for g in _groups(w) for s in SIDES)] for n in range(1, 13)
        ]
        rows += [[]]
    return Made(
        "bloques.csv", table(rows, ";", "cp1252", ","), _whole(w, "before", "after"), w, "es"
    )


@case
def it_fogli() -> Made:
    w = wing("bullace-l")
    sheets = {
        f"Fila {g}": [
            ["Punto", "Sinistra", "Destra"],
            *([n, *(w.at("before", s, g, n) for s in SIDES)] for _, n in w.lines(g)),
        ]
        for g in _groups(w)
    }
    return Made(
        "file.xlsx",
        xlsx({"Ingresso": [["Misure in ingresso"]], **sheets}),
        _whole(w, "before"),
        w,
        "it",
        {"when": "before"},
    )


@case
def it_metri() -> Made:
    w = wing("medlar-m")
    rows: Grid = [
        ["Misure prima della regolazione"],
        ["", *(f"{g} {s}" for g in _groups(w) for s in ("sx (m)", "dx (m)"))],
    ]
    rows += [
        [n, *(w.at("before", s, g, n) / 1000 for g in _groups(w) for s in SIDES)]
        for n in range(1, 13)
    ]
    return Made("metri.csv", table(rows, ";", "cp1252", ","), _whole(w, "before"), w, "it")


@case
def cs_listy() -> Made:
    w = wing("medlar-m")

    def make(when):
        return [
            ["Řada", "Bod", "Levá", "Pravá"],
            *([g, n, *(w.at(when, s, g, n) for s in SIDES)] for g, n in _abc(w)),
        ]

    return Made(
        "křídlo.xls",
        xls({"Před úpravou": make("before"), "Po úpravě": make("after")}),
        _whole(w, "before", "after"),
        w,
        "cs",
    )


@case
def pl_arkusze() -> Made:
    w = wing("quince-s")

    def make(when):
        return [
            ["Rząd", "Punkt", "Lewa", "Prawa", "Średnia"],
            *([g, n, *(p := [w.at(when, s, g, n) for s in SIDES]), sum(p) / 2] for g, n in _abc(w)),
        ]

    return Made(
        "skrzydło.ods",
        ods({"Przed": make("before"), "Po regulacji": make("after")}),
        _whole(w, "before", "after"),
        w,
        "pl",
    )


@case
def pl_bloki_obok() -> Made:
    w = wing("medlar-m")
    left, right = (grid(w, "before", (s,), _groups(w), "Nr") for s in SIDES)
    rows: Grid = [
        ["Pomiar przy przyjęciu"],
        ["Strona lewa", None, None, None, None, "Strona prawa"],
    ]
    rows += [[*a, None, *b] for a, b in zip(left, right, strict=True)]
    return Made("bloki.xlsx", xlsx({"Arkusz1": rows}), _whole(w, "before"), w, "pl")


@case
def json_records() -> Made:
    w = wing("medlar-m")
    data = {
        "wing": "Medlar",
        "lines": [
            {
                "line": f"{g}{n}",
                "side": s,
                "spec": w.spec(g, n),
                "before": w.at("before", s, g, n),
                "after": w.at("after", s, g, n),
            }
            for s in SIDES
            for g, n in _abc(w)
        ],
    }
    return Made("records.json", json.dumps(data).encode(), _whole(w, "before", "after"), w)


@case
def json_tree() -> Made:
    w = wing("quince-s")
    data = {
        when: {
            s: {g: [w.at(when, s, g, n) for _, n in w.lines(g)] for g in _groups(w)} for s in SIDES
        }
        for when in ("before", "after")
    }
    return Made("tree.json", json.dumps(data).encode(), _whole(w, "before", "after"), w)


@case
def json_de_messungen() -> Made:
    w = wing("quince-s")
    data = {
        "messungen": [
            {
                "leine": f"{g}{n}",
                "links": w.at("before", "left", g, n),
                "rechts": w.at("before", "right", g, n),
            }
            for g, n in _abc(w)
        ]
    }
    return Made(
        "m.json", json.dumps(data).encode(), _whole(w, "before"), w, "de", {"when": "before"}
    )


@case
def json_measurements_two_lists() -> Made:
    w = wing("medlar-m")
    data = {
        when: [
            {
                "line": f"{g}{n}",
                "left": w.at(when, "left", g, n),
                "right": w.at(when, "right", g, n),
            }
            for g, n in _abc(w)
        ]
        for when in ("before", "after")
    }
    return Made("lists.json", json.dumps(data).encode(), _whole(w, "before", "after"), w)


@case
def en_stabilo_and_brakes_grid() -> Made:
    w = wing("medlar-m")
    groups = ["A", "B", "C", "stabilo", "brake", "brake_main"]
    names = ["A", "B", "C", "Stab", "Brakes", "Main brake"]
    rows: Grid = [["Arrival check"], ["", *(f"{g} {s}" for s in ("L", "R") for g in names)]]
    rows += grid(w, "before", SIDES, [], "", groups)[1:]
    return Made("all.csv", table(rows), w.truth(("before",), SIDES, w.lines()), w)


@case
def en_spec_columns_wide() -> Made:
    w = wing("medlar-m")
    head = [h for g in _groups(w) for h in (f"{g} spec", f"{g} L", f"{g} R")]
    rows: Grid = [["Before adjusting"], ["Line", *head]]
    for n in range(1, 13):
        rows.append(
            [
                n,
                *(
                    v
                    for g in _groups(w)
                    for v in (w.spec(g, n), *(w.at("before", s, g, n) for s in SIDES))
                ),
            ]
        )
    return Made("specwide.xls", xls({"Sheet 1": rows}), _whole(w, "before"), w)


@case
def en_target_after_in_heading_only() -> Made:
    """Only one of the pair of words occurs."""
    w = wing("quince-s")
    rows: Grid = [
        ["Line", "Target", "Left (after)", "Right (after)", "+/-"],
        *(
            [f"{g}{n}", w.spec(g, n), *(w.at("after", s, g, n) for s in SIDES), 10]
            for g, n in _abc(w)
        ),
    ]
    return Made("afteronly.xlsx", xlsx({"Data": rows}), _whole(w, "after"), w)


@case
def en_unlabelled_spec_column() -> Made:
    """Specified lengths in a column that does not say so."""
    w = wing("medlar-m")
    rows: Grid = [
        ["Line", "Length", "Left in", "Right in"],
        *([f"{g}{n}", w.spec(g, n), *(w.at("before", s, g, n) for s in SIDES)] for g, n in _abc(w)),
    ]
    return Made("plainspec.csv", table(rows), _whole(w, "before"), w)


@case
def en_no_headings() -> Made:
    w = wing("quince-s")
    rows: Grid = [[f"{g}{n}", *(w.at("before", s, g, n) for s in SIDES)] for g, n in _abc(w)]
    return Made(
        "bare.csv",
        table(rows),
        _whole(w, "before"),
        w,
        answers={"when": "before", "columns": "left,right"},
    )


@case
def en_summary_sheet_first() -> Made:
    w = wing("medlar-m")

    def make(when):
        return [
            ["Line", "Left", "Right"],
            *([f"{g}{n}", *(w.at(when, s, g, n) for s in SIDES)] for g, n in _abc(w)),
        ]

    summary: Grid = [
        ["Wing", "Medlar M"],
        ["Serial", 41207],
        ["Hours", 214],
        ["Date", "2031-04-02"],
    ]
    return Made(
        "summary.xlsx",
        xlsx({"Cover": summary, "Incoming": make("before"), "Outgoing": make("after")}),
        _whole(w, "before", "after"),
        w,
    )
