"""Cells as plain values from a job that was read, so that examples go through the plain rules."""

from plain_cells import Cell, shares


def main_lines(specification):
    """{(row, station): name of the main line that carries it}; not there where none does."""
    found = {}
    for line in specification.cascade:
        if line.parent is None:
            found.update({(p.group, p.number): line.name for p in line.points})
    return found


def cells_of(specification, measuring):
    """Cells of all rows on both sides; rows without chord positions give none.

    The load is not corrected: for measurings at the specification's load.
    """
    lengths = {(s.value, p.group, p.number): mm for (s, p), mm in measuring.lengths_mm.items()}
    carried = main_lines(specification)
    found = []
    for side in ("left", "right"):
        for row in specification.groups:
            if row.kind.value != "row" or not row.chord_m:
                continue
            names = []
            for n, t in enumerate(shares(len(row.lengths_mm)), 1):
                name = carried.get((row.name, n), f"{row.name}{n}")
                names += [name] if name not in names else []
                specified = row.lengths_mm[n - 1]
                length = lengths.get((side, row.name, n))
                found.append(
                    Cell(
                        row.name,
                        side,
                        n,
                        row.chord_m[n - 1],
                        names.index(name) + 1,
                        specified,
                        t,
                        None if length is None else length - specified,
                    )
                )
    return found
