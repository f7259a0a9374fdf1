"""Whatever a job holds or lacks, every sentence is whole and can be read."""

import re
from types import SimpleNamespace
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from trimscribe.model.job import (
    Condition,
    InspectionItem,
    Job,
    OffsetMethod,
    Pilot,
    Replacement,
    StrengthTest,
)
from trimscribe.model.statements import Statements
from trimscribe.model.wing import LineGroup, Side, Tolerances

length = st.one_of(st.none(), st.integers(-30, 30).map(float))
rows = st.fixed_dictionaries(
    {name: st.lists(length, min_size=6, max_size=6) for name in ("A", "B", "C")}
    | {
        "stabilo": st.lists(length, min_size=2, max_size=2),
        "brake": st.lists(length, min_size=3, max_size=3),
        "brake_main": st.lists(length, min_size=1, max_size=1),
    }
)
measuring = st.fixed_dictionaries(
    {
        "left": rows,
        "right": rows,
        "tension_n": st.sampled_from([None, 50.0, 50.0, 100.0]),
        "free_travel_mm": st.dictionaries(
            st.sampled_from(Side), st.sampled_from([-5.0, 20.0, 80.0])
        ),
        "risers": st.dictionaries(st.sampled_from("AB"), st.sampled_from([0.0, 8.0])),
    }
)
tested = st.tuples(st.sampled_from([300.0, 900.0]), st.booleans(), st.sampled_from([None, 800.0]))
parts = st.fixed_dictionaries(
    {
        "before": st.none() | measuring,
        "after": st.none() | measuring,
        "work": st.lists(
            st.tuples(st.sampled_from(["a", "c", "s1", "brake_main"]), st.integers(-30, 30))
        ),
        "replaced": st.booleans(),
        "limits": st.sampled_from(
            [Tolerances(), Tolerances(10.0, {"brake": 25.0}, 5.0), Tolerances(10.0, {}, 5.0, 3.0)]
        ),
        "offset": st.sampled_from(OffsetMethod),
        "tests": st.lists(tested, max_size=2),
        "conditions": st.lists(st.sampled_from(Condition), max_size=3),
        "weight": st.sampled_from([None, 60.0, 90.0, 120.0]),
        "chord": st.booleans(),
        "edge": st.sampled_from([None, 2.3]),
    }
)


@settings(max_examples=150, deadline=None)
@given(parts)
def test_every_sentence_of_any_job_is_whole(bench: SimpleNamespace, drawn: dict[str, Any]) -> None:
    statements = bench.told(job_of(bench, drawn))
    for text in texts(statements):
        assert re.fullmatch(r"[A-Z0-9].*[.]", text), text
        assert not re.search(r"None|[{}]|  |\(\)| [,.:]|[,.][,.]|\bno (lines?|of)\b", text), text


def texts(statements: Statements) -> list[str]:
    return [s.text for s in (*statements.sentences, *statements.cautions)]


def job_of(bench: SimpleNamespace, drawn: dict[str, Any]) -> Job:
    spec = bench.specification(trailing_edge_m=drawn["edge"], tolerances=drawn["limits"])
    if not drawn["chord"]:
        groups = tuple(LineGroup(g.name, g.kind, g.lengths_mm) for g in spec.groups)
        spec = bench.specification(groups=groups, tolerances=drawn["limits"])
    before, after = (drawn[w] and bench.measured(**drawn[w]) for w in ("before", "after"))
    return bench.job(
        before,
        after if before else None,
        specification=spec,
        offset_method=drawn["offset"],
        offset_row="A" if drawn["offset"] is OffsetMethod.ROW else "",
        adjustments=tuple(a for line, mm in drawn["work"] for a in bench.adjusted(mm, line)),
        replacements=(Replacement("maillon", None, "age"),) if drawn["replaced"] else (),
        strength=tuple(StrengthTest("A1", n, broke, req) for n, broke, req in drawn["tests"]),
        inspection=tuple(InspectionItem(f"part {n}", c) for n, c in enumerate(drawn["conditions"])),
        pilot=Pilot("Robin Hale", drawn["weight"], "It feels slow."),
    )
