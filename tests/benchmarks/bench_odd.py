"""Exports in which something is missing, twice there, or not what it looks like."""

import json

from bench_lists import _abc
from bench_wing import SIDES, Grid, Made, case, table, wing
from export_files import ods, xlsx
from old_excel import xls


def _list(w, when, lines, form="{}{}"):
    return [[form.format(g, n), *(w.at(when, s, g, n) for s in SIDES)] for g, n in lines]


def _groups(w):
    return [g for g in w.specified if len(g) == 1]


@case
def odd_place_called_port() -> Made:
    w = wing("quince-s")
    rows: Grid = [
        ["Port Cloud Wing Loft"],
        ["Line", "Length before"],
        *([f"{g}{n}", w.at("before", "right", g, n)] for g, n in _abc(w)),
    ]
    return Made(
        "port.csv",
        table(rows),
        w.truth(("before",), ("right",), _abc(w)),
        w,
        answers={"side": "right"},
    )


@case
def odd_two_years() -> Made:
    w = wing("quince-s")
    rows: Grid = [["Line", "2029 L", "2029 R", "2031 L", "2031 R"]]
    rows += [
        [f"{g}{n}", *(w.at(t, s, g, n) for t in ("before", "after") for s in SIDES)]
        for g, n in _abc(w)
    ]
    return Made(
        "years.csv",
        table(rows),
        w.truth(("before", "after"), SIDES, _abc(w)),
        w,
        answers={"columns": "before,after"},
    )


@case
def odd_corrected_column() -> Made:
    w = wing("quince-s")
    rows: Grid = [["Line", "Left", "Left corrected", "Right", "Right corrected"]]
    rows += [
        [f"{g}{n}", *(w.at(t, s, g, n) for s in SIDES for t in ("before", "after"))]
        for g, n in _abc(w)
    ]
    return Made(
        "corrected.xlsx",
        xlsx({"Data": rows}),
        w.truth(("before", "after"), SIDES, _abc(w)),
        w,
        answers={"columns": "before,after"},
    )


@case
def odd_lengths_of_another_size() -> Made:
    w = wing("quince-s")
    rows: Grid = [["Line", "Length", "Left before", "Right before"]]
    rows += [
        [f"{g}{n}", w.spec(g, n) + 31, *(w.at("before", s, g, n) for s in SIDES)]
        for g, n in _abc(w)
    ]
    return Made(
        "othersize.csv",
        table(rows),
        w.truth(("before",), SIDES, _abc(w)),
        w,
        answers={"column": "none"},
    )


@case
def odd_sheet_copied() -> Made:
    w = wing("quince-s")

    def make(when):
        return [["Line", "Left", "Right"], *_list(w, when, _abc(w))]

    return Made(
        "copy.xlsx",
        xlsx({"Before": make("before"), "Before (2)": make("after"), "After": make("after")}),
        w.truth(("before", "after"), SIDES, _abc(w)),
        w,
        answers={"tables": "1"},
    )


@case
def odd_rows_side_by_side() -> Made:
    w = wing("medlar-m")
    rows: Grid = [
        ["Before trimming"],
        ["A", None, None, None, "B", None, None, None, "C"],
        ["#", "L", "R", None] * 3,
    ]
    rows += [
        [v for g in _groups(w) for v in (n, *(w.at("before", s, g, n) for s in SIDES), None)]
        for n in range(1, 13)
    ]
    return Made("beside.xlsx", xlsx({"x": rows}), w.truth(("before",), SIDES, _abc(w)), w)


@case
def odd_everything_in_headings() -> Made:
    w = wing("quince-s")
    lines = [(s, g, n) for s in SIDES for g, n in _abc(w)]
    rows: Grid = [["measured", *(f"{g}{n} {s[0].upper()}" for s, g, n in lines)]]
    rows += [[t, *(w.at(t, *line) for line in lines)] for t in ("before", "after")]
    return Made("oneline.csv", table(rows, ";"), w.truth(("before", "after"), SIDES, _abc(w)), w)


@case
def odd_de_li_vor() -> Made:
    w = wing("bullace-l")
    rows: Grid = [
        ["Ebene", "Nr.", "Li. vor", "Re. vor", "Li. nach", "Re. nach", "Änderung li", "Änderung re"]
    ]
    for g, n in _abc(w):
        four = [w.at(t, s, g, n) for t in ("before", "after") for s in SIDES]
        rows.append([g, n, *four, four[2] - four[0], four[3] - four[1]])
    return Made(
        "li.csv",
        table(rows, ";", "cp1252", ","),
        w.truth(("before", "after"), SIDES, _abc(w)),
        w,
        "de",
    )


@case
def odd_blank_rows_between() -> Made:
    w = wing("medlar-m")
    rows: Grid = [["Line", "L in", "R in", "L out", "R out"]]
    for g in _groups(w):
        rows += [
            [f"{g}{n}", *(w.at(t, s, g, n) for t in ("before", "after") for s in SIDES)]
            for _, n in w.lines(g)
        ]
        rows += [[]]
    return Made("gaps.ods", ods({"S": rows}), w.truth(("before", "after"), SIDES, _abc(w)), w)


@case
def odd_de_zwischentitel() -> Made:
    w = wing("medlar-m")
    rows: Grid = [["Ausgangsvermessung"], ["Nr.", "links", "rechts"]]
    for g in _groups(w):
        rows += [
            [f"{g}-Leinen"],
            *([n, *(w.at("after", s, g, n) for s in SIDES)] for _, n in w.lines(g)),
        ]
    return Made("zwischen.xlsx", xlsx({"T": rows}), w.truth(("after",), SIDES, _abc(w)), w, "de")


@case
def odd_dashes_all_over() -> Made:
    w = wing("medlar-m")
    rows: Grid = [["id", "as found", "as left"]]
    rows += [
        [f"{s[0].upper()}-{g}-{n}", *(w.at(t, s, g, n) for t in ("before", "after"))]
        for s in SIDES
        for g, n in _abc(w)
    ]
    return Made("dash.tsv", table(rows, "\t"), w.truth(("before", "after"), SIDES, _abc(w)), w)


@case
def odd_inches() -> Made:
    w = wing("quince-s")
    rows: Grid = [
        ["Line", "Left (in)", "Right (in)"],
        *([f"{g}{n}", *(w.at("before", s, g, n) / 25.4 for s in SIDES)] for g, n in _abc(w)),
    ]
    return Made(
        "inches.csv",
        table(rows),
        w.truth(("before",), SIDES, _abc(w)),
        w,
        answers={"when": "before"},
    )


@case
def odd_only_left_filled() -> Made:
    w = wing("medlar-m")
    rows: Grid = [
        ["Arrival"],
        ["Line", "Left", "Right"],
        *([f"{g}{n}", w.at("before", "left", g, n), None] for g, n in _abc(w)),
    ]
    return Made("halfdone.csv", table(rows), w.truth(("before",), ("left",), _abc(w)), w)


@case
def odd_json_by_line() -> Made:
    w = wing("quince-s")
    data = {"after": {f"{g}{n}": {s: w.at("after", s, g, n) for s in SIDES} for g, n in _abc(w)}}
    return Made("byline.json", json.dumps(data).encode(), w.truth(("after",), SIDES, _abc(w)), w)


@case
def odd_cs_lp() -> Made:
    w = wing("medlar-m")
    rows: Grid = [["šňůra", "L před", "P před", "L po", "P po", "rozdíl"]]
    for g, n in _abc(w):
        four = [w.at(t, s, g, n) for t in ("before", "after") for s in SIDES]
        rows.append([f"{g}{n}", *four, four[2] - four[3]])
    return Made(
        "lp.csv",
        table(rows, ";", "cp1250", ","),
        w.truth(("before", "after"), SIDES, _abc(w)),
        w,
        "cs",
    )


@case
def odd_de_werk_sheet() -> Made:
    w = wing("quince-s")
    spec = [["Leine", "Länge"], *([f"{g}{n}", w.spec(g, n)] for g, n in _abc(w))]
    rows = [["Leine", "links", "rechts"], *_list(w, "before", _abc(w))]
    return Made(
        "werk.xls",
        xls({"Werk": spec, "Messung Eingang": rows}),
        w.truth(("before",), SIDES, _abc(w)),
        w,
        "de",
    )


@case
def odd_narrow_blanks_in_numbers() -> Made:
    w = wing("medlar-m")
    rows: Grid = [["Suspente", "G après", "D après"]]
    rows += [
        [
            f"{g}{n}",
            *(
                f"{w.at('after', s, g, n):,.1f}".replace(",", "\u202f").replace(".", ",")
                for s in SIDES
            ),
        ]
        for g, n in _abc(w)
    ]
    return Made(
        "fines.csv", table(rows, ";", "utf-16"), w.truth(("after",), SIDES, _abc(w)), w, "fr"
    )


@case
def odd_es_hojas_y_bloques() -> Made:
    w = wing("quince-s")

    def make(when):
        rows: Grid = []
        for title, s in (("Lado izquierdo", "left"), ("Lado derecho", "right")):
            rows += [[title], ["Punto", *_groups(w)]]
            rows += [[n, *(w.at(when, s, g, n) for g in _groups(w))] for n in range(1, 11)] + [[]]
        return rows

    return Made(
        "hb.ods",
        ods({"Antes": make("before"), "Después": make("after")}),
        w.truth(("before", "after"), SIDES, _abc(w)),
        w,
        "es",
    )


@case
def odd_only_some_after() -> Made:
    w = wing("medlar-m")
    some = [("A", 3), ("A", 4), ("B", 7)]
    rows: Grid = [
        ["Before work"],
        ["Line", "Left", "Right"],
        *_list(w, "before", _abc(w)),
        [],
        ["After work"],
        ["Line", "Left", "Right"],
        *_list(w, "after", some),
    ]
    truth = w.truth(("before",), SIDES, _abc(w)) | w.truth(("after",), SIDES, some)
    return Made("some.csv", table(rows), truth, w)


@case
def odd_three_readings_in_rows() -> Made:
    w = wing("quince-s")
    rows: Grid = [["Line", "Reading", "Left after", "Right after"]]
    rows += [
        [f"{g}{n}", r, *(w.at("after", s, g, n) + d for s in SIDES)]
        for g, n in _abc(w)
        for r, d in ((1, -1), (2, 0), (3, 1))
    ]
    return Made("thrice.csv", table(rows), w.truth(("after",), SIDES, _abc(w)), w)


@case
def odd_left_and_right_are_rows() -> Made:
    w = wing("quince-s")
    rows: Grid = [["Pre-check"], ["Line", "Side", *range(1, 11)]]
    rows += [
        [g, s.title(), *(w.at("before", s, g, n) for n in range(1, 11))]
        for s in SIDES
        for g in _groups(w)
    ]
    return Made(
        "rows2.xlsx",
        xlsx({"x": rows}),
        w.truth(("before",), SIDES, _abc(w)),
        w,
        answers={"when": "before"},
    )


@case
def odd_remark_says_after() -> Made:
    """A note below says after, about something else."""
    w = wing("quince-s")
    rows: Grid = [
        ["Line", "Left", "Right"],
        *_list(w, "before", _abc(w)),
        [],
        ["Next check after 100 hours"],
    ]
    return Made(
        "note.csv", table(rows), w.truth(("before",), SIDES, _abc(w)), w, answers={"when": "before"}
    )


@case
def odd_title_before_the_season() -> Made:
    w = wing("quince-s")
    rows: Grid = [
        ["Yearly check before the 2031 season"],
        ["Line", "Left", "Right"],
        *_list(w, "after", _abc(w)),
    ]
    return Made(
        "season.csv", table(rows), w.truth(("after",), SIDES, _abc(w)), w, answers={"when": "after"}
    )


@case
def odd_right_before_left() -> Made:
    w = wing("quince-s")
    rows: Grid = [
        ["Linie", "rechts (Eingang)", "links (Eingang)"],
        *(
            [f"{g}{n}", w.at("before", "right", g, n), w.at("before", "left", g, n)]
            for g, n in _abc(w)
        ),
    ]
    return Made("rl.csv", table(rows, ";", "cp1252"), w.truth(("before",), SIDES, _abc(w)), w, "de")


@case
def odd_it_medie() -> Made:
    w = wing("quince-s")
    rows: Grid = [["Cordino", "sx 1", "sx 2", "media sx", "dx 1", "dx 2", "media dx"]]
    for g, n in _abc(w):
        a, b = (w.at("before", s, g, n) for s in SIDES)
        rows.append([f"{g}{n}", a - 1, a + 1, a, b - 2, b + 2, b])
    return Made(
        "medie.xls",
        xls({"Prima": rows}),
        w.truth(("before",), SIDES, _abc(w)),
        w,
        "it",
        {"columns": "mean"},
    )


@case
def odd_pl_rows_named() -> Made:
    w = wing("medlar-m")
    rows: Grid = [
        ["Po regulacji"],
        [
            "Rząd A lewa",
            "Rząd A prawa",
            "Rząd B lewa",
            "Rząd B prawa",
            "Rząd C lewa",
            "Rząd C prawa",
        ],
    ]
    rows += [[w.at("after", s, g, n) for g in _groups(w) for s in SIDES] for n in range(1, 13)]
    return Made(
        "rzedy.csv", table(rows, ";", "cp1250", ","), w.truth(("after",), SIDES, _abc(w)), w, "pl"
    )


@case
def odd_brake_lines_called_k_and_main() -> Made:
    w = wing("medlar-m")
    rows: Grid = [["Line", "Left received", "Right received"]]
    rows += [
        [
            {"brake_main": "Main", "brake": f"K{n}", "stabilo": f"S{n}"}.get(g, f"{g}{n}"),
            *(w.at("before", s, g, n) for s in SIDES),
        ]
        for g, n in w.lines()
    ]
    return Made("k.csv", table(rows), w.truth(("before",), SIDES, w.lines()), w)


@case
def odd_list_twice_without_a_word() -> Made:
    """Before and after, one below the other, a few mm apart: never readings to be averaged."""
    w = wing("quince-s")
    rows: Grid = [
        ["Line", "Left", "Right"],
        *_list(w, "before", _abc(w)),
        [],
        *_list(w, "after", _abc(w)),
    ]
    return Made(
        "twice.csv",
        table(rows),
        w.truth(("before", "after"), SIDES, _abc(w)),
        w,
        answers={"when": "before"},
    )


@case
def odd_sheets_of_two_wings() -> Made:
    """Two wings of one model in one file: nobody may mix them."""
    w = wing("quince-s")

    def make(when):
        return [["Line", "Left before", "Right before"], *_list(w, when, _abc(w))]

    return Made(
        "wings.xlsx",
        xlsx({"41207": make("before"), "41208": make("after")}),
        w.truth(("before",), SIDES, _abc(w)),
        w,
        answers={"tables": "1"},
    )


@case
def odd_measured_is_left_of_nothing() -> Made:
    """A word for a side that is a name: Leve is a place."""
    w = wing("quince-s")
    rows: Grid = [
        ["Measured at Wright Hill by Robin"],
        ["Line", "Before"],
        *([f"{g}{n}", w.at("before", "left", g, n)] for g, n in _abc(w)),
    ]
    return Made(
        "hill.csv",
        table(rows),
        w.truth(("before",), ("left",), _abc(w)),
        w,
        answers={"side": "left"},
    )
