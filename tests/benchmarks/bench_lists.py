"""Lists: a line of the wing, or a length of it, in each row."""

from bench_wing import SIDES, Grid, Made, case, table, wing
from export_files import ods, xlsx
from old_excel import xls

SHORT = {"stabilo": "S", "brake": "K", "brake_main": "main"}


def _rows(w, whens, head, form, lines=None, columns=None) -> Grid:
    """A row for each line; a length for each pair of time and side."""
    pairs = columns or [(when, side) for when in whens for side in SIDES]
    rows: Grid = [list(head)]
    for group, point in lines or w.lines():
        rows.append([form(group, point), *(w.at(*pair, group, point) for pair in pairs)])
    return rows


def _abc(w):
    return w.lines(*[name for name in w.specified if len(name) == 1])


@case
def en_as_received_as_returned() -> Made:
    w = wing("medlar-m")
    head = ["Line", "L as received", "R as received", "L as returned", "R as returned"]
    rows = _rows(
        w,
        ("before", "after"),
        head,
        lambda g, n: {"brake_main": "Main brake"}.get(g, f"{SHORT.get(g, g)}{n}"),
    )
    return Made("check-118.csv", table(rows), w.truth(("before", "after"), SIDES, w.lines()), w)


@case
def en_port_starboard_spec_beside() -> Made:
    w = wing("quince-s")
    rows: Grid = [["Line", "Factory (mm)", "Port (mm)", "Stbd (mm)", "Dev. P", "Dev. S"]]
    for g, n in _abc(w):
        left, right, spec = (
            w.at("before", "left", g, n),
            w.at("before", "right", g, n),
            w.spec(g, n),
        )
        rows.append([f"{g}{n}", spec, left, right, left - spec, right - spec])
    return Made(
        "quince incoming.csv",
        table(rows),
        w.truth(("before",), SIDES, _abc(w)),
        w,
        answers={"when": "before"},
    )


@case
def en_incoming_in_name_only_spec_first() -> Made:
    w = wing("medlar-m")
    rows: Grid = [
        ["Incoming measurement"],
        [],
        ["line", "nominal", "left actual", "right actual", "tol"],
    ]
    for g, n in _abc(w):
        rows.append(
            [
                f"{g} {n}",
                w.spec(g, n),
                w.at("before", "left", g, n),
                w.at("before", "right", g, n),
                10,
            ]
        )
    return Made("m.xlsx", xlsx({"Sheet1": rows}), w.truth(("before",), SIDES, _abc(w)), w)


@case
def en_side_in_line_name_suffix() -> Made:
    w = wing("medlar-m")
    rows: Grid = [["line", "before work [mm]", "after work [mm]"]]
    for side in SIDES:
        for g, n in _abc(w):
            rows.append(
                [f"{g}{side[0].upper()}{n}", w.at("before", side, g, n), w.at("after", side, g, n)]
            )
    return Made("lines.csv", table(rows, ";"), w.truth(("before", "after"), SIDES, _abc(w)), w)


@case
def en_number_first_name() -> Made:
    w = wing("bullace-l")
    rows = _rows(w, ("before",), ["", "left", "right"], lambda g, n: f"{n}{g}", _abc(w))
    return Made(
        "bullace_pre.tsv",
        table(rows, "\t"),
        w.truth(("before",), SIDES, _abc(w)),
        w,
        answers={"when": "before"},
    )


@case
def en_all_in_one_row_with_readings() -> Made:
    w = wing("quince-s")
    rows: Grid = [["No.", "Line", "Side", "Reading 1", "Reading 2", "Mean"]]
    number = 0
    for g, n in _abc(w):
        for side in SIDES:
            number += 1
            mm = w.at("after", side, g, n)
            rows.append([number, f"{g}-{n:02}", side.title(), mm - 1, mm + 1, mm])
    rows.append([])
    rows.append(["", "Final check after trimming", "", "", "", ""])
    return Made(
        "final.xlsx",
        xlsx({"Final": rows}),
        w.truth(("after",), SIDES, _abc(w)),
        w,
        answers={"when": "after"},
    )


@case
def en_odd_cells() -> Made:
    w = wing("medlar-m")
    rows = _rows(
        w, ("before",), ["Line", "Left before", "Right before"], lambda g, n: f"{g}.{n}", _abc(w)
    )
    truth = w.truth(("before",), SIDES, _abc(w))
    for row, column, text, key in [
        (3, 1, "-", ("left", "A", 3)),
        (9, 2, "n/a", ("right", "A", 9)),
        (14, 1, "x", ("left", "B", 2)),
        (20, 2, "?", ("right", "B", 8)),
        (30, 1, "0", ("left", "C", 6)),
    ]:
        rows[row][column] = text
        del truth[("before", *key)]
    return Made("odd.csv", table(rows), truth, w)


@case
def en_sums_and_notes() -> Made:
    w = wing("medlar-m")
    rows: Grid = [
        ["Netherby Wing Loft"],
        ["Wing", "Medlar M", "", "Serial", "41207"],
        [],
        ["Line", "Left", "Right", "Difference L-R"],
        ["", "mm", "mm", "mm"],
    ]
    for g in ("A", "B", "C"):
        sums = [0.0, 0.0]
        for _, n in w.lines(g):
            pair = [w.at("before", side, g, n) for side in SIDES]
            sums = [a + b for a, b in zip(sums, pair, strict=True)]
            rows.append([f"{g}/{n}", *pair, pair[0] - pair[1]])
        count = len(w.lines(g))
        rows.append([f"Average {g}", sums[0] / count, sums[1] / count, (sums[0] - sums[1]) / count])
        rows.append(["Sum", sums[0], sums[1], sums[0] - sums[1]])
    rows += [
        [],
        ["Cloth", "left", "right"],
        ["Porosity (s)", 120, 131],
        ["Hours", 214],
        ["Measured at 50 N with laser, before trimming"],
    ]
    return Made(
        "loft.ods",
        ods({"Sheet": rows}),
        w.truth(("before",), SIDES, _abc(w)),
        w,
        answers={"when": "before"},
    )


@case
def de_soll_ist() -> Made:
    w = wing("medlar-m")
    rows: Grid = [["Leine", "Soll", "Ist links", "Abw. links", "Ist rechts", "Abw. rechts"]]
    for g, n in w.lines():
        s, a, b = w.spec(g, n), w.at("before", "left", g, n), w.at("before", "right", g, n)
        name = {"brake_main": "Hauptbremsleine", "stabilo": f"St{n}", "brake": f"Br{n}"}.get(
            g, f"{g}{n}"
        )
        rows.append([name, s, a, a - s, b, b - s])
    return Made(
        "Prüfung.csv",
        table(rows, ";", "cp1252", ","),
        w.truth(("before",), SIDES, w.lines()),
        w,
        "de",
        {"when": "before"},
    )


@case
def de_vorher_nachher_li_re() -> Made:
    w = wing("bullace-l")
    head = ["Ltg.", "vorher li", "vorher re", "nachher li", "nachher re", "Bemerkung"]
    rows = _rows(w, ("before", "after"), head, lambda g, n: f"{g}{n}", _abc(w))
    rows[4].append("neu")
    return Made(
        "Bullace L 2031.xls",
        xls({"Tabelle1": rows}),
        w.truth(("before", "after"), SIDES, _abc(w)),
        w,
        "de",
    )


@case
def de_eingang_only() -> Made:
    w = wing("quince-s")
    rows: Grid = [["Eingangsmessung"], ["Leine", "Seite", "Länge in m"]]
    for side, word in zip(SIDES, ("links", "rechts"), strict=True):
        for g, n in _abc(w):
            rows.append([f"{g}{n}", word, w.at("before", side, g, n) / 1000])
    return Made(
        "eingang.csv",
        table(rows, ";", "cp1252", ","),
        w.truth(("before",), SIDES, _abc(w)),
        w,
        "de",
    )


@case
def de_leine_und_seite_in_worten() -> Made:
    w = wing("medlar-m")
    rows: Grid = [["Bezeichnung", "Messwert [mm]\n(vor Korrektur)"]]
    for g, n in _abc(w):
        rows += [
            [f"Leine {g}{n} links", w.at("before", "left", g, n)],
            [f"Leine {g}{n} rechts", w.at("before", "right", g, n)],
        ]
    return Made("mess.ods", ods({"Messung": rows}), w.truth(("before",), SIDES, _abc(w)), w, "de")


@case
def fr_avant_apres() -> Made:
    w = wing("medlar-m")
    head = ["Suspente", "Avant G", "Avant D", "Après G", "Après D"]
    rows = _rows(
        w,
        ("before", "after"),
        head,
        lambda g, n: {
            "brake_main": "Frein principal",
            "brake": f"F{n}",
            "stabilo": f"Stab {n}",
        }.get(g, f"{g}{n}"),
    )
    return Made(
        "controle.csv",
        table(rows, ";", "cp1252", ","),
        w.truth(("before", "after"), SIDES, w.lines()),
        w,
        "fr",
    )


@case
def fr_theorique_mesure() -> Made:
    w = wing("quince-s")
    rows: Grid = [
        ["Ligne", "Longueur théorique", "Mesure gauche", "Mesure droite", "Écart G", "Écart D"]
    ]
    for g, n in _abc(w):
        s, a, b = w.spec(g, n), w.at("before", "left", g, n), w.at("before", "right", g, n)
        rows.append([f"{g}{n}", s, a, b, a - s, b - s])
    return Made(
        "quince.xlsx",
        xlsx({"Feuil1": rows}),
        w.truth(("before",), SIDES, _abc(w)),
        w,
        "fr",
        {"when": "before"},
    )


@case
def fr_a_la_reception() -> Made:
    w = wing("quince-s")
    rows = _rows(
        w,
        ("before",),
        ["Suspente", "gauche (à la réception)", "droite (à la réception)"],
        lambda g, n: f"{g}_{n}",
        _abc(w),
    )
    return Made(
        "réception.txt", table(rows, "\t", "utf-16"), w.truth(("before",), SIDES, _abc(w)), w, "fr"
    )


@case
def es_izq_der() -> Made:
    w = wing("medlar-m")
    rows: Grid = [
        [
            "Línea",
            "Fábrica",
            "Izq. antes",
            "Der. antes",
            "Izq. después",
            "Der. después",
            "Tolerancia",
        ]
    ]
    for g, n in _abc(w):
        rows.append(
            [
                f"{g}{n}",
                w.spec(g, n),
                *(w.at(t, s, g, n) for t in ("before", "after") for s in SIDES),
                "±10",
            ]
        )
    return Made(
        "revision.csv",
        table(rows, ";", "cp1252", ","),
        w.truth(("before", "after"), SIDES, _abc(w)),
        w,
        "es",
    )


@case
def es_freno_principal_vacio() -> Made:
    w = wing("quince-s")
    rows: Grid = [["Fila", "Punto", "Lado", "Medida (mm)"]]
    names = {"stabilo": "Estabilo", "brake": "Freno", "brake_main": "Freno principal"}
    for side, word in zip(SIDES, ("I", "D"), strict=True):
        for g, n in w.lines():
            rows.append(
                [
                    names.get(g, g),
                    None if g == "brake_main" else n,
                    word,
                    w.at("before", side, g, n),
                ]
            )
    return Made(
        "entrada.xlsx",
        xlsx({"Recepción": rows}),
        w.truth(("before",), SIDES, w.lines()),
        w,
        "es",
        {"when": "before"},
    )


@case
def it_sx_dx() -> Made:
    w = wing("bullace-l")
    head = ["Cordino", "SX prima", "DX prima", "SX dopo", "DX dopo"]
    rows = _rows(w, ("before", "after"), head, lambda g, n: f"{g}{n}", _abc(w))
    return Made(
        "vela.ods", ods({"Foglio1": rows}), w.truth(("before", "after"), SIDES, _abc(w)), w, "it"
    )


@case
def it_nominale_misurata() -> Made:
    w = wing("medlar-m")
    rows: Grid = [
        ["Controllo in uscita"],
        [],
        ["Linea", "Nominale", "Misurata sinistra", "Misurata destra", "Scarto sx", "Scarto dx"],
    ]
    for g, n in _abc(w):
        s, a, b = w.spec(g, n), w.at("after", "left", g, n), w.at("after", "right", g, n)
        rows.append([f"{g}-{n}", s, a, b, a - s, b - s])
    return Made("uscita.csv", table(rows, ";"), w.truth(("after",), SIDES, _abc(w)), w, "it")


@case
def cs_pred_po() -> Made:
    w = wing("quince-s")
    head = ["Šňůra", "levá před", "pravá před", "levá po", "pravá po"]
    rows = _rows(w, ("before", "after"), head, lambda g, n: f"{g}{n}", _abc(w))
    return Made(
        "kontrola.csv",
        table(rows, ";", "cp1250", ","),
        w.truth(("before", "after"), SIDES, _abc(w)),
        w,
        "cs",
    )


@case
def cs_predepsana() -> Made:
    w = wing("medlar-m")
    rows: Grid = [
        ["šňůra", "předepsaná délka", "naměřeno L", "naměřeno P", "odchylka L", "odchylka P"]
    ]
    for g, n in _abc(w):
        s, a, b = w.spec(g, n), w.at("before", "left", g, n), w.at("before", "right", g, n)
        rows.append([f"{g}{n}", s, a, b, a - s, b - s])
    return Made(
        "prijem.xls",
        xls({"Příjem": rows}),
        w.truth(("before",), SIDES, _abc(w)),
        w,
        "cs",
        {"when": "before"},
    )


@case
def pl_przed_po() -> Made:
    w = wing("medlar-m")
    head = ["Linka", "lewa przed", "prawa przed", "lewa po", "prawa po"]
    rows = _rows(
        w,
        ("before", "after"),
        head,
        lambda g, n: {
            "brake_main": "Sterówka główna",
            "brake": f"Ster {n}",
            "stabilo": f"Stabilo {n}",
        }.get(g, f"{g}{n}"),
    )
    return Made(
        "przegląd.csv",
        table(rows, ";", "cp1250", ","),
        w.truth(("before", "after"), SIDES, w.lines()),
        w,
        "pl",
    )


@case
def pl_nominal_zmierzona() -> Made:
    w = wing("bullace-l")
    rows: Grid = [
        ["Pomiar po naprawie"],
        [
            "Linka",
            "Nominalna",
            "Zmierzona lewa",
            "Zmierzona prawa",
            "Różnica lewa",
            "Różnica prawa",
        ],
    ]
    for g, n in _abc(w):
        s, a, b = w.spec(g, n), w.at("after", "left", g, n), w.at("after", "right", g, n)
        rows.append([f"{g}{n}", s, a, b, a - s, b - s])
    return Made(
        "pomiar.xlsx", xlsx({"Arkusz1": rows}), w.truth(("after",), SIDES, _abc(w)), w, "pl"
    )


@case
def en_thousands_and_units() -> Made:
    w = wing("bullace-l")
    rows: Grid = [["Line", "Left (after)", "Right (after)"]]
    for g, n in _abc(w):
        rows.append([f"Line {g}{n}", *(f"{w.at('after', s, g, n):,.1f} mm" for s in SIDES)])
    return Made("units.csv", table(rows, ";"), w.truth(("after",), SIDES, _abc(w)), w)


@case
def de_apostrophes() -> Made:
    w = wing("quince-s")
    rows: Grid = [["Leine", "nach Trimmung L", "nach Trimmung R"]]
    for g, n in _abc(w):
        rows.append(
            [f"{g}{n}", *(f"{w.at('after', s, g, n):,.0f}".replace(",", "'") for s in SIDES)]
        )
    return Made(
        "ch.csv", table(rows, ";", "utf-8-sig"), w.truth(("after",), SIDES, _abc(w)), w, "de"
    )


@case
def en_spec_only() -> Made:
    """The maker's table alone: nothing was measured."""
    w = wing("medlar-m")
    rows: Grid = [["Line", "Left", "Right"]]
    for g, n in _abc(w):
        rows.append([f"{g}{n}", w.spec(g, n), w.spec(g, n)])
    return Made("medlar.csv", table(rows), {}, w, answers={"when": "before"})


@case
def en_deviations_only() -> Made:
    w = wing("medlar-m")
    rows: Grid = [["Line", "Left dev before", "Right dev before"]]
    for g, n in _abc(w):
        rows.append([f"{g}{n}", *(w.at("before", s, g, n) - w.spec(g, n) for s in SIDES)])
    return Made(
        "dev.csv", table(rows), w.truth(("before",), SIDES, _abc(w)), w, answers={"longer": "plus"}
    )


@case
def en_side_prefix_and_riser() -> Made:
    w = wing("medlar-m")
    rows: Grid = [["Name", "Before", "After"]]
    for side in SIDES:
        for g, n in _abc(w):
            rows.append(
                [
                    f"{side[0].upper()}{g}{n}",
                    *(w.at(t, side, g, n) + 520 for t in ("before", "after")),
                ]
            )
    return Made(
        "jig.csv",
        table(rows),
        w.truth(("before", "after"), SIDES, _abc(w)),
        w,
        answers={"riser": "520"},
    )
