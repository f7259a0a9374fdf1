"""Analyses run in an order in which each finds what it needs."""

from dataclasses import dataclass, field, replace
from types import SimpleNamespace

import pytest

from trimscribe.analyse import (
    analyse,
    change,
    cloth,
    in_order,
    inspection,
    ledger,
    line_set,
    strength,
)
from trimscribe.contracts import Analysis
from trimscribe.errors import PluginError


@dataclass(frozen=True)
class Stub:
    name: str
    needs: tuple[str, ...] = ()
    contract: int = 1
    seen: list = field(default_factory=list, compare=False)

    def analyse(self, job, findings):
        self.seen.append(tuple(findings.extra))
        return replace(findings, extra={**findings.extra, self.name: {"ran": 1.0}})


def names(*analyses):
    return [a.name for a in in_order(analyses)]


def test_each_runs_after_what_it_needs():
    assert names(Stub("a", ("z",)), Stub("m"), Stub("z")) == ["m", "z", "a"]


def test_without_needs_the_name_decides():
    assert names(Stub("c"), Stub("a"), Stub("b")) == ["a", "b", "c"]


def test_what_becomes_ready_runs_before_later_names():
    assert names(Stub("a", ("b",)), Stub("b"), Stub("c")) == ["b", "a", "c"]


def test_the_order_of_discovery_does_not_matter():
    stubs = [Stub("d", ("b",)), Stub("b", ("c",)), Stub("c"), Stub("a")]

    assert names(*stubs) == names(*reversed(stubs)) == ["a", "c", "b", "d"]


def test_a_need_that_is_not_installed_is_named_with_what_is_installed():
    with pytest.raises(PluginError) as caught:
        in_order([Stub("change", ("line_set",)), Stub("extra", ("gone",))])

    first, second = caught.value.faults
    assert first.code == second.code == "analysis-need-unknown"
    assert "`change` needs `line_set`" in first.message
    assert "change, extra" in first.hint


def test_needs_in_a_circle_are_named():
    with pytest.raises(PluginError) as caught:
        in_order([Stub("a", ("b",)), Stub("b", ("a",)), Stub("free")])

    (fault,) = caught.value.faults
    assert fault.code == "analysis-needs-circular"
    assert "`a` needs `b`; `b` needs `a`" in fault.message
    assert "free" not in fault.message


def test_an_analysis_that_needs_itself_is_a_circle():
    with pytest.raises(PluginError, match="wait for each other"):
        in_order([Stub("a", ("a",))])


def test_each_sees_what_those_before_it_found(build):
    first, last = Stub("z"), Stub("a", ("z",))

    findings = analyse(build.job(None), SimpleNamespace(all=lambda kind: (last, first)))

    assert last.seen == [("z",)]
    assert set(findings.extra) == {"a", "z"}


def test_the_built_in_analyses_keep_the_contract(build):
    modules = (change, cloth, inspection, ledger, line_set, strength)
    assert all(isinstance(module.analysis, Analysis) for module in modules)
    assert [m.analysis.name for m in modules] == [m.__name__.rsplit(".")[-1] for m in modules]
