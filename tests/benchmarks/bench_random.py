"""Exports put together by chance: language, layout, labels, numbers, columns, kind of file."""

import json
import random

from bench_wing import SIDES, Grid, Made, Wing, table, wing
from export_files import ods, xlsx
from old_excel import xls

__all__ = ["random_export"]

# What seven languages call things; a few usual ways each. A pair of initials goes with some.
_WORDS = {
    "en": {
        "line": ["Line", "line no.", "Name"],
        "row": ["Row", "Group"],
        "point": ["Point", "No."],
        "side": ["Side"],
        "sides": [("Left", "Right"), ("L", "R"), ("left wing", "right wing"), ("LH", "RH")],
        "times": [
            ("before", "after"),
            ("as received", "as returned"),
            ("incoming", "outgoing"),
            ("Pre", "Post"),
            ("initial", "final"),
            ("before work", "after work"),
        ],
        "spec": ["Factory", "spec.", "Nominal [mm]", "Target length"],
        "dev": ["Deviation", "Dev.", "diff"],
        "mean": ["Mean", "Avg"],
        "tol": ["Tolerance", "tol. (mm)"],
        "measured": ["measured", "actual", "length"],
        "sum": ["Average", "Total"],
        "title": ["Line check"],
    },
    "de": {
        "line": ["Leine", "Bezeichnung"],
        "row": ["Ebene", "Reihe"],
        "point": ["Punkt", "Nr."],
        "side": ["Seite"],
        "sides": [("links", "rechts"), ("li", "re"), ("L", "R"), ("linke Seite", "rechte Seite")],
        "times": [
            ("vorher", "nachher"),
            ("Eingang", "Ausgang"),
            ("vor Korrektur", "nach Korrektur"),
            ("vor", "nach"),
        ],
        "spec": ["Soll", "Sollwert", "Herstellerangabe", "Nennmaß"],
        "dev": ["Abweichung", "Abw.", "Differenz"],
        "mean": ["Mittelwert", "MW"],
        "tol": ["Toleranz"],
        "measured": ["Ist", "gemessen", "Messwert"],
        "sum": ["Mittelwert", "Summe"],
        "title": ["Leinenvermessung"],
    },
    "fr": {
        "line": ["Suspente", "Ligne"],
        "row": ["Rang"],
        "point": ["Point", "N°"],
        "side": ["Côté"],
        "sides": [("gauche", "droite"), ("G", "D"), ("côté gauche", "côté droit")],
        "times": [
            ("avant", "après"),
            ("réception", "restitution"),
            ("avant réglage", "après réglage"),
        ],
        "spec": ["Théorique", "Longueur constructeur", "Nominale"],
        "dev": ["Écart", "Différence"],
        "mean": ["Moyenne"],
        "tol": ["Tolérance"],
        "measured": ["mesuré", "mesure", "réelle"],
        "sum": ["Moyenne", "Total"],
        "title": ["Contrôle"],
    },
    "es": {
        "line": ["Línea", "Cordino"],
        "row": ["Fila", "Banda"],
        "point": ["Punto"],
        "side": ["Lado"],
        "sides": [("izquierda", "derecha"), ("izq.", "der."), ("I", "D")],
        "times": [("antes", "después"), ("recepción", "entrega"), ("entrada", "salida")],
        "spec": ["Fábrica", "Nominal", "Teórica"],
        "dev": ["Desviación", "Dif."],
        "mean": ["Media", "Promedio"],
        "tol": ["Tolerancia"],
        "measured": ["medida", "real"],
        "sum": ["Media", "Suma"],
        "title": ["Control"],
    },
    "it": {
        "line": ["Cordino", "Linea"],
        "row": ["Fila"],
        "point": ["Punto"],
        "side": ["Lato"],
        "sides": [("sinistra", "destra"), ("sx", "dx"), ("SX", "DX")],
        "times": [
            ("prima", "dopo"),
            ("ingresso", "uscita"),
            ("prima della regolazione", "dopo la regolazione"),
        ],
        "spec": ["Nominale", "Di fabbrica", "Teorica"],
        "dev": ["Scarto", "Differenza"],
        "mean": ["Media"],
        "tol": ["Tolleranza"],
        "measured": ["misurata", "effettiva"],
        "sum": ["Media", "Totale"],
        "title": ["Controllo"],
    },
    "cs": {
        "line": ["Šňůra", "Označení"],
        "row": ["Řada"],
        "point": ["Bod"],
        "side": ["Strana"],
        "sides": [("levá", "pravá"), ("L", "P"), ("vlevo", "vpravo")],
        "times": [("před", "po"), ("příjem", "výdej"), ("před úpravou", "po úpravě")],
        "spec": ["Předepsaná", "Nominální", "Výrobce"],
        "dev": ["Odchylka", "Rozdíl"],
        "mean": ["Průměr"],
        "tol": ["Tolerance"],
        "measured": ["naměřeno", "skutečná"],
        "sum": ["Průměr", "Součet"],
        "title": ["Kontrola"],
    },
    "pl": {
        "line": ["Linka", "Oznaczenie"],
        "row": ["Rząd"],
        "point": ["Punkt"],
        "side": ["Strona"],
        "sides": [("lewa", "prawa"), ("L", "P"), ("lewa strona", "prawa strona")],
        "times": [("przed", "po"), ("przyjęcie", "wydanie"), ("przed regulacją", "po regulacji")],
        "spec": ["Nominalna", "Fabryczna", "Zadana"],
        "dev": ["Odchyłka", "Różnica"],
        "mean": ["Średnia"],
        "tol": ["Tolerancja"],
        "measured": ["zmierzona", "pomiar"],
        "sum": ["Średnia", "Suma"],
        "title": ["Przegląd"],
    },
}
_FORMS = ("{}{}", "{} {}", "{}-{:02}", "{}.{}", "{}/{}", "{}_{}", "n-first", "lower")
_LAYOUTS = (
    "list",
    "side column",
    "side in label",
    "grid",
    "blocks down",
    "blocks across",
    "sheets by time",
    "sheets by side",
    "sheets by row",
    "points across",
    "json",
)
_SAID = ("heading", "title", "sheet", "nowhere")


class _Maker:
    """One file, from one seed."""

    def __init__(self, seed: int) -> None:
        self.random = random.Random(seed)
        self.wing: Wing = wing(self.pick(["medlar-m", "quince-s", "bullace-l"]))
        self.language = self.pick([*_WORDS])
        self.words = _WORDS[self.language]
        self.sides = dict(zip(SIDES, self.word("sides"), strict=True))
        self.times = dict(zip(("before", "after"), self.word("times"), strict=True))
        self.whens = self.pick([("before",), ("after",), ("before", "after")])
        self.said = "heading" if len(self.whens) > 1 else self.pick(_SAID)
        self.form = self.pick(_FORMS)
        self.layout = self.pick(_LAYOUTS)
        self.groups = [g for g in self.wing.specified if len(g) == 1]
        self.lines = self.wing.lines(*self.groups)
        self.answers = {"when": self.whens[0], "measurings": "before,after", "blocks": "left,right"}
        # Initials that are rows as well cannot be told apart in labels.
        if self.layout == "side in label" and set(self.sides.values()) & {*self.groups}:
            self.layout = "list"

    def pick(self, choices):
        return self.random.choice(list(choices))

    def word(self, kind):
        return self.pick(self.words[kind])

    def label(self, group: str, point: int) -> str:
        if self.form == "n-first":
            return f"{point}{group}"
        if self.form == "lower":
            return f"{group.lower()}{point}"
        return self.form.format(group, point)

    def heading(self, side: str = "", when: str = "") -> str:
        """A heading of a column with what it must say, in one of several orders."""
        parts = [self.sides[side]] if side else []
        if when and self.said == "heading":
            parts.append(self.times[when])
        self.random.shuffle(parts)
        if self.random.random() < 0.3 or not parts:
            parts.append(self.word("measured"))
        text = self.pick([" ", " - ", "\n"] if self.layout != "json" else [" "]).join(parts)
        return text + self.pick(["", "", " (mm)", " [mm]"])

    def at(self, *key) -> float:
        return self.wing.at(*key)

    def titled(self, rows: Grid) -> Grid:
        """Rows with a title that says the time, where a title shall say it."""
        if self.said == "title":
            return [[f"{self.word('title')} {self.times[self.whens[0]]}"], [], *rows]
        return self.pick([rows, [[self.word("title")], [], *rows]])

    def pairs(self) -> list[tuple[str, str]]:
        return [(when, side) for when in self.whens for side in SIDES]

    def make(self) -> Made:
        build = {
            "list": self.list,
            "side column": self.side_column,
            "side in label": self.side_in_label,
            "grid": self.grid,
            "blocks down": self.blocks_down,
            "blocks across": self.blocks_across,
            "sheets by time": self.sheets_by_time,
            "sheets by side": self.sheets_by_side,
            "sheets by row": self.sheets_by_row,
            "points across": self.points_across,
            "json": self.json,
        }[self.layout]
        name, data = build()
        truth = self.wing.truth(self.whens, SIDES, self.lines)
        return Made(name, data, truth, self.wing, self.language, self.answers)

    def list(self):
        """A line in each row, with what workshops put beside: specified, deviation, mean."""
        spec, dev, mean, tol = (self.random.random() < share for share in (0.5, 0.3, 0.3, 0.2))
        head: list[object] = [self.word("line"), *([self.word("spec")] if spec else [])]
        head += [self.heading(side, when) for when, side in self.pairs()]
        head += (
            [f"{self.word('dev')} {self.sides[side]}" for _, side in self.pairs()] if dev else []
        )
        head += [self.word("mean")] if mean else []
        head += [self.word("tol")] if tol else []
        rows: Grid = [head]
        for line in self.lines:
            values = [self.at(when, side, *line) for when, side in self.pairs()]
            row: list[object] = [
                self.label(*line),
                *([self.wing.spec(*line)] if spec else []),
                *values,
            ]
            row += [value - self.wing.spec(*line) for value in values] if dev else []
            row += [sum(values) / len(values)] if mean else []
            row += [10.0] if tol else []
            rows.append(row)
        if self.random.random() < 0.3:
            columns = list(zip(*rows[1:], strict=True))[1:]
            rows.append([self.word("sum"), *(sum(c) / len(c) for c in columns)])
        return self.file(self.titled(rows))

    def side_column(self):
        head = [self.word("row"), self.word("point"), self.word("side")]
        rows: Grid = [[*head, *(self.heading("", when) for when in self.whens)]]
        for side in SIDES:
            rows += [
                [g, n, self.sides[side], *(self.at(w, side, g, n) for w in self.whens)]
                for g, n in self.lines
            ]
        return self.file(self.titled(rows))

    def side_in_label(self):
        rows: Grid = [[self.word("line"), *(self.heading("", when) for when in self.whens)]]
        for side in SIDES:
            rows += [
                [
                    f"{self.label(*line)} {self.sides[side]}",
                    *(self.at(w, side, *line) for w in self.whens),
                ]
                for line in self.lines
            ]
        return self.file(self.titled(rows))

    def columns(self, sides, whens, first):
        """Points down; a column for each row, side and time."""
        keys = [(when, side, group) for when in whens for side in sides for group in self.groups]
        heads = []
        for when, side, group in keys:
            parts = [group, *([self.sides[side]] if len(sides) > 1 else [])]
            parts += [self.times[when]] if self.said == "heading" else []
            heads.append(" ".join(parts))
        rows: Grid = [[first, *heads]]
        for n in range(1, max(len(self.wing.specified[g]) for g in self.groups) + 1):
            rows.append(
                [
                    n,
                    *(
                        self.at(*key, n) if n <= len(self.wing.specified[key[2]]) else None
                        for key in keys
                    ),
                ]
            )
        return rows

    def grid(self):
        return self.file(self.titled(self.columns(SIDES, self.whens, self.word("point"))))

    def blocks_down(self):
        rows: Grid = []
        first = self.word("point")
        for side in SIDES:
            rows += [[self.sides[side]], *self.columns((side,), self.whens, first), []]
        return self.file(self.titled(rows))

    def blocks_across(self):
        first = self.word("point")
        left, right = (self.columns((side,), self.whens, first) for side in SIDES)
        gap: list[object] = [None] * (len(left[0]) - 1)
        rows: Grid = [[self.sides["left"], *gap, None, self.sides["right"]]]
        rows += [[*a, None, *b] for a, b in zip(left, right, strict=True)]
        return self.file(self.titled(rows))

    def table_of(self, whens, sides, lines, label):
        rows: Grid = [
            [
                self.word("line"),
                *(self.heading(s if len(sides) > 1 else "", w) for w in whens for s in sides),
            ]
        ]
        return rows + [
            [label(*line), *(self.at(w, s, *line) for w in whens for s in sides)] for line in lines
        ]

    def sheets_by_time(self):
        self.said = "sheet"
        names = {when: self.times[when] for when in self.whens}
        if len(self.whens) == 1 and self.random.random() < 0.3:
            names = {self.whens[0]: "Sheet1"}
        return self.book(
            {names[w]: self.table_of((w,), SIDES, self.lines, self.label) for w in self.whens}
        )

    def sheets_by_side(self):
        return self.book(
            {
                self.sides[s]: self.titled(self.table_of(self.whens, (s,), self.lines, self.label))
                for s in SIDES
            }
        )

    def sheets_by_row(self):
        word = self.word("row")
        sheets = {}
        for group in self.groups:
            rows = self.table_of(self.whens, SIDES, self.wing.lines(group), lambda _, n: n)
            rows[0][0] = self.word("point")
            sheets[f"{word} {group}"] = self.titled(rows)
        return self.book(sheets)

    def points_across(self):
        count = max(len(self.wing.specified[g]) for g in self.groups)
        whens = self.whens
        rows: Grid = [[self.word("line"), *range(1, count + 1)]]
        for when in whens:
            for side in SIDES:
                for group in self.groups:
                    parts = [
                        group,
                        self.sides[side],
                        *([self.times[when]] if self.said == "heading" else []),
                    ]
                    rows.append(
                        [
                            " ".join(parts),
                            *(self.at(when, side, group, n) for _, n in self.wing.lines(group)),
                        ]
                    )
        return self.file(self.titled(rows))

    def json(self):
        self.said = "heading" if self.said in ("title", "sheet") else self.said
        heads = {pair: self.heading(pair[1], pair[0]) for pair in self.pairs()}
        line = self.word("line")
        records = [
            {line: self.label(*one), **{h: self.at(w, s, *one) for (w, s), h in heads.items()}}
            for one in self.lines
        ]
        data = {self.word("title"): records} if self.random.random() < 0.5 else records
        return "x.json", json.dumps(data, ensure_ascii=False).encode()

    def book(self, sheets):
        kind, write = self.pick([("xlsx", xlsx), ("ods", ods), ("xls", xls)])
        return f"x.{kind}", write(sheets)

    def file(self, rows: Grid):
        if self.said == "sheet":
            return self.book({self.times[self.whens[0]]: rows})
        if self.random.random() < 0.4:
            return self.book({self.pick(["Sheet1", "Tabelle1", "Feuil1"]): rows})
        encoding = "cp1250" if self.language in ("cs", "pl") else "cp1252"
        encoding = self.pick([encoding, "utf-8", "utf-8-sig", "utf-16"])
        mark = self.pick([".", ","])
        factor, delimiter = (
            self.pick([1, 1, 10, 1000]),
            self.pick(";\t") if mark == "," else self.pick(",;\t"),
        )
        scaled = [[one / factor if isinstance(one, float) else one for one in row] for row in rows]
        return "x.csv", table(scaled, delimiter, encoding, mark)


def random_export(seed: int) -> Made:
    """The file of this number; the same each time."""
    return _Maker(seed).make()
