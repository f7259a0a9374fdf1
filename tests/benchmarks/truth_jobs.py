"""A true wing and its measurings as files: the maker's line set and the job, in YAML."""

from pathlib import Path
from typing import Any

import numpy as np
import yaml
from truth_kinds import Kind
from truth_readings import Measured, repeat_u_mm
from truth_states import BRAKE_TOLERANCE_MM, FREE_TRAVEL_MM, TOLERANCE_MM, Layout
from truth_wings import TrueWing

from trimscribe.schemas.job import AfterSchema, JobFileSchema, MeasurementSchema

__all__ = ["written"]

SIDES = ("left", "right")
_RULES: dict[str, Any] = {
    "simple": "simple",
    "guarded": {"guarded": 2},
    "probability": {"probability": 0.95},
}


def optional_keys(
    wing: TrueWing, when: str, number: int, found: dict[str, Measured]
) -> dict[str, Any]:
    """What a measuring may say besides: the one place for keys that come and go.

    A key is written only where the schema of this engine knows it. Every other job states its
    repeat scatter; every other one that was measured again in part names its control lines.
    """
    reported: dict[str, Any] = {}
    if number % 2:
        reported["repeat_mm"] = round(repeat_u_mm(float(wing.kind.u)), 2)
    if when == "after" and wing.kind.occasions == "part" and number % 4 < 2:
        reported["control_lines"] = _both_sides(wing, found["after"])
    schema = MeasurementSchema() if when == "before" else AfterSchema()
    return {key: value for key, value in reported.items() if value and key in schema.fields}


def _both_sides(wing: TrueWing, again: Measured) -> list[str]:
    """The untouched points that were measured again on both sides."""
    layout = wing.layout
    main = {
        (int(s), int(r), int(n)): int(m)
        for s, r, n, m in zip(layout.right, layout.row, layout.number, layout.main, strict=True)
    }
    untouched = {key for key in again.lines_mm if (key[0], main[key]) not in wing.planned}
    return [
        f"{layout.names[r]}{n}" for s, r, n in sorted(untouched) if not s and (1, r, n) in untouched
    ]


def optional_job_keys(wing: TrueWing) -> dict[str, Any]:
    """The same for the job as a whole."""
    reported: dict[str, Any] = {}
    return {key: value for key, value in reported.items() if key in JobFileSchema().fields}


def written(
    folder: Path, random: np.random.Generator, wing: TrueWing, found: dict[str, Measured]
) -> Path:
    """Write both files, with the slip that the kind asks for; return the job's."""
    specification = _specification(wing.layout, wing.kind)
    job = _job(wing, found, int(random.integers(8)))
    _slip(random, wing.kind, specification, job)
    _write(folder / "line-set.yaml", specification)
    return _write(folder / "job.yaml", job)


def _write(path: Path, content: dict[str, Any]) -> Path:
    dumper = getattr(yaml, "CSafeDumper", yaml.SafeDumper)
    text = yaml.dump(content, Dumper=dumper, sort_keys=False, default_flow_style=None)
    path.write_text(text, encoding="utf-8")
    return path


def _specification(layout: Layout, kind: Kind) -> dict[str, Any]:
    rows, cascade = {}, {}
    for r, name in enumerate(layout.names):
        chosen = (layout.row == r) & ~layout.right
        rows[name] = {
            "chord_m": layout.chord_m[chosen].tolist(),
            "lengths_mm": layout.specified_mm[chosen].astype(int).tolist(),
        }
        for main in dict.fromkeys(layout.main[chosen].tolist()):
            numbers = layout.number[chosen & (layout.main == main)]
            cascade[layout.main_name(main)] = [f"{name}{n}" for n in numbers]
    reported: dict[str, Any] = {
        "trimscribe": 1,
        "maker": "Pomeroy Wings",
        "model": "Medlar",
        "size": "M",
        "source": "made up for a trial",
        "includes_risers": kind.risers == "included",
        "tension_n": 50,
        "rows": rows,
        "brake": {
            "fan_mm": [int(mm) for mm in layout.brake_mm],
            "trailing_edge_m": layout.trailing_edge_m,
            "free_travel_mm": FREE_TRAVEL_MM,
        },
        "cascade": cascade,
        "tolerances": {
            "default_mm": TOLERANCE_MM,
            "brake_mm": BRAKE_TOLERANCE_MM,
            "riser_mm": 5,
            "source": "made up for a trial",
        },
    }
    if kind.risers in ("measured", "not measured"):
        reported["risers"] = {name: {"trim_mm": 520} for name in layout.names}
    return reported


def _job(wing: TrueWing, found: dict[str, Measured], number: int) -> dict[str, Any]:
    kind, layout = wing.kind, wing.layout
    offset: Any = {"row": layout.names[0]} if kind.offset == "row" else kind.offset
    job: dict[str, Any] = {
        "trimscribe": 1,
        "workshop": {"name": "Quarry Hill Canopy Works"},
        "service": {"number": "QH-1", "done": "2026-10-16"},
        "wing": {
            "maker": "Pomeroy Wings",
            "model": "Medlar",
            "size": "M",
            "serial_number": "MD-1",
            "trim_speed_km_h": 37,
        },
        "specification": "line-set.yaml",
        "common_offset": offset,
        "decision_rule": _RULES[kind.rule],
        **optional_job_keys(wing),
    }
    for when, day in (("before", 13), ("after", 16)):
        if when in found:
            job[when] = {
                "date": f"2026-10-{16 if number < 2 else day}",
                "method": "laser distance meter, line by line, from the maillon",
                "instrument": "LD-2, checked 2026-09-01",
                "tension_n": 50,
                "uncertainty_mm": float(kind.u),
                **optional_keys(wing, when, number, found),
                **_lengths(layout, found[when]),
            }
    if wing.planned:
        job["adjustments"] = [
            {"line": layout.main_name(main), "side": SIDES[side], "change_mm": mm}
            for (side, main), mm in wing.planned.items()
        ]
    return job


def _lengths(layout: Layout, found: Measured) -> dict[str, Any]:
    reported: dict[str, Any] = {}
    if found.travel_mm:
        reported["free_travel_mm"] = {SIDES[s]: mm for s, mm in found.travel_mm.items()}
    if found.risers_mm:
        reported["risers"] = {
            SIDES[s]: {
                name: {"trim_mm": found.risers_mm[s, r]} for r, name in enumerate(layout.names)
            }
            for s in (0, 1)
        }
    for s, side in enumerate(SIDES):
        rows: dict[str, Any] = {}
        for r, name in enumerate(layout.names):
            row = [found.lines_mm.get((s, r, n + 1)) for n in range(layout.counts[r])]
            if any(mm is not None for mm in row):
                rows[name] = [None if mm is None else int(mm) for mm in row]
        if found.brakes_mm:
            rows["brake"] = [int(mm) for mm in found.brakes_mm[s]]
        if rows:
            reported[side] = rows
    return reported


def _slip(
    random: np.random.Generator, kind: Kind, specification: dict[str, Any], job: dict[str, Any]
) -> None:
    """Mistype what the kind says, in place."""
    if kind.slip == "digits":
        when = "before" if "before" in job else "after"
        lists = [
            job[when][side][row]
            for side in SIDES
            for row in job[when].get(side, {})
            if row in specification["rows"]
        ]
        _turn_digits(random, lists)
    elif kind.slip == "specified digits":
        _turn_digits(random, [row["lengths_mm"] for row in specification["rows"].values()])
    elif kind.slip == "sides after":
        after = job["after"]
        after["left"], after["right"] = after.get("right"), after.get("left")
        for side in [side for side in SIDES if after[side] is None]:
            del after[side]


def _turn_digits(random: np.random.Generator, lists: list[list[int | None]]) -> None:
    """Two neighbouring digits of one length in the wrong order, so that it is 20 mm off or more."""
    cells = [(row, i) for row in lists for i, mm in enumerate(row) if mm is not None]
    for n in random.permutation(len(cells)):
        row, i = cells[n]
        digits = str(row[i])
        for first in random.permutation((1, 2)):
            turned = digits[:first] + digits[first + 1] + digits[first] + digits[first + 2 :]
            if abs(int(turned) - int(digits)) >= 20:
                row[i] = int(turned)
                return
    raise AssertionError("no length to mistype")
