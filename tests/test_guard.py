"""Plugins that raise, or return nonsense, are named in every kind that does something."""

import re
from dataclasses import replace
from inspect import getattr_static
from typing import Any

import pytest

from trimscribe.contracts import ImportedLength, SectionView, TableImporter
from trimscribe.errors import Fault, InputError, Mark, PluginError
from trimscribe.guard import guarded, reason
from trimscribe.model.document import Figure
from trimscribe.model.findings import Findings
from trimscribe.model.report import Report
from trimscribe.model.wing import Side

METHODS = ["analyse", "draw", "make", "read", "tables", "view"]
WHO, PLACE = "“slips” in outputs, from coast-tools,", "coast_tools:slips"


class Slips:
    """Offers every method, and does with each what it is made for."""

    contract: int
    suffixes: tuple[str, ...]
    name = "slips"

    def __init__(self, does: Any) -> None:
        for method in METHODS:
            setattr(self, method, lambda *_: does())


def reported(does: Any, method: str) -> Fault:
    with pytest.raises(PluginError) as caught:
        getattr(guarded(Slips(does), WHO, PLACE), method)(1, 2)
    (fault,) = caught.value.faults
    return fault


@pytest.mark.parametrize("method", METHODS)
def test_one_that_raises_is_named(method: str) -> None:
    fault = reported(lambda: {}["x"], method)

    assert (fault.code, WHO in fault.message) == ("plugin-raises", True)
    assert fault.message.endswith(f" raises in `{method}`: KeyError: 'x'.")


def test_the_line_of_the_plugin_is_reported_not_that_of_a_library_it_calls() -> None:
    source = "from dataclasses import replace\ndef slip():\n    return replace(report, pages_=1)\n"
    module = {"__name__": "coast_tools.slips", "report": Mark("x")}
    exec(compile(source, "/srv/coast_tools/slips.py", "exec"), module)
    fault = reported(module["slip"], "make")

    assert "(slips.py, line 3): TypeError: " in fault.message
    assert "'pages_'" in fault.message


def test_what_an_error_says_is_shown_in_one_short_line_without_folders() -> None:
    error = OSError("cannot read /home/robin/jobs/one.csv\nmore")

    assert reason(error) == "OSError: cannot read one.csv"
    assert len(reason(ValueError("x" * 5000))) < 350


def test_an_importer_may_decline() -> None:
    assert guarded(Slips(lambda: None), WHO, PLACE).read(b"", "x") is None


@pytest.mark.parametrize("method", METHODS)
def test_one_that_returns_nonsense_is_named(method: str) -> None:
    fault = reported(lambda: 7, method)

    assert (fault.code, WHO in fault.message) == ("plugin-returns", True)
    assert re.search(rf"returns an int, where .+ belongs?, from `{method}`\.$", fault.message)


def test_what_is_right_or_raised_on_purpose_passes() -> None:
    report = Report(data=b"", suffix=".txt", media_type="text/plain", pages=0)

    def refuse() -> None:
        raise InputError(Fault("not-a-date", "x"))

    assert guarded(Slips(lambda: report), WHO, PLACE).make(None) is report
    assert guarded(Slips(lambda: None), WHO, PLACE).view(None) is None
    assert guarded(Slips(lambda: ((), ())), WHO, PLACE).read(b"", "x") == ((), ())
    assert guarded(Slips(lambda: report), WHO, PLACE).name == "slips"
    with pytest.raises(InputError):
        guarded(Slips(refuse), WHO, PLACE).make(None)


def test_a_method_that_is_not_there_is_not_there() -> None:
    assert not hasattr(guarded(Slips(None), WHO, PLACE), "other")


RIGHT = {"side": Side.LEFT, "group": "A", "point": 1, "length_mm": 7334, "mark": Mark("x", 1)}


@pytest.mark.parametrize(
    ("name", "value"),
    [
        *(("side", "left"), ("group", None), ("point", "1"), ("point", True)),
        *(("length_mm", "7334"), ("mark", None)),
    ],
)
def test_a_length_of_another_kind_is_named(name: str, value: Any) -> None:
    length = ImportedLength(**{**RIGHT, name: value})
    fault = reported(lambda: ((ImportedLength(**RIGHT), length), ()), "read")

    assert (fault.code, WHO in fault.message) == ("plugin-returns", True)
    assert f"`{name}` is a {type(value).__name__}" in fault.message


FIGURE = {"name": "f", "svg": "<svg/>", "width_pt": 9, "height_pt": 9, "alt": "A bar."}


@pytest.mark.parametrize(
    ("method", "answer", "said"),
    [
        ("read", ((), None), "a NoneType, where several of Fault belong,"),
        ("read", ((), ("bad",)), "a str, where Fault belongs,"),
        ("read", (None, ()), "a NoneType in place of several"),
        ("read", ((),), "a tuple of 1, where (lengths, faults) or None belongs,"),
        ("tables", (("a;b",), ()), "a str, where Sheet belongs,"),
        ("draw", Figure(**{**FIGURE, "svg": b"<svg/>"}), "`svg` is a bytes, where str belongs,"),
        ("draw", Figure(**{**FIGURE, "alt": " "}), "a figure without `alt`"),
        ("view", SectionView(values=()), "`values` is a tuple, where Mapping belongs,"),
        ("view", SectionView(values={}, figures="bar"), "`figures` is a str, where tuple or list"),
        ("view", SectionView(values={}, figures=(1,)), "`figures` has an int, where str belongs,"),
    ],
)
def test_what_an_answer_is_made_of_is_looked_at(method: str, answer: Any, said: str) -> None:
    fault = reported(lambda: answer, method)

    assert (fault.code, said in fault.message) == ("plugin-returns", True), fault.message


@pytest.mark.parametrize(
    ("extra", "said"),
    [
        ({"other": {"a": 1}, "slips": 3.0}, "a float as `extra.slips`, where values by name"),
        ({"other": {"a": 1}, "slips": {"b": float("nan")}}, "`extra.slips.b` that JSON cannot"),
        ({"other": {"a": 1}, "slips": {"b": {1}}}, "`extra.slips.b` that JSON cannot carry (set"),
        ({"slips": {"b": 1}}, "another `extra.other`, which is not its own"),
    ],
)
def test_an_analysis_of_others_gives_its_own_part_and_nothing_else(extra: Any, said: str) -> None:
    given = Findings(extra={"other": {"a": 1}})

    def after(answer: Findings) -> Any:
        return guarded(Slips(lambda: answer), WHO, PLACE).analyse(None, given)

    right = replace(given, extra={**given.extra, "slips": {"b": 1}})
    assert after(right) is right
    with pytest.raises(PluginError) as caught:
        after(replace(given, extra=extra))
    assert said in caught.value.faults[0].message
    with pytest.raises(PluginError, match="another `porosity`, which is not its own"):
        after(replace(right, porosity=3))


def test_one_that_leaves_python_is_named() -> None:
    def leave() -> None:
        raise SystemExit(3)

    assert reported(leave, "view").message.endswith("raises in `view`: SystemExit: 3.")


def test_what_it_offers_is_in_its_class_where_protocols_look_for_it() -> None:
    """Python 3.12 and later do not ask the object."""
    slips = Slips(lambda: None)
    slips.contract, slips.suffixes = 2, (".slp",)
    seen = guarded(slips, WHO, PLACE)

    for name in ("contract", "name", "suffixes", "read", "tables"):
        assert getattr_static(seen, name, None) is not None, name
    assert isinstance(seen, TableImporter)
    assert (seen.contract, seen.name, seen.suffixes) == (2, "slips", (".slp",))
