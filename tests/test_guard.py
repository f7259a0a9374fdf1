"""Plugins that raise, or return nonsense, are named in every kind that does something."""

from typing import Any

import pytest

from trimscribe.errors import Fault, InputError, PluginError
from trimscribe.guard import guarded
from trimscribe.model.report import Report

METHODS = ["analyse", "draw", "make", "read", "tables", "view"]
WHO, PLACE = "“slips” in outputs, from coast-tools,", "coast_tools:slips"


class Slips:
    """Offers every method, and does with each what it is made for."""

    name = "slips"

    def __init__(self, does: Any) -> None:
        for method in METHODS:
            setattr(self, method, lambda *_: does())


def told(does: Any, method: str) -> Fault:
    with pytest.raises(PluginError) as caught:
        getattr(guarded(Slips(does), WHO, PLACE), method)(1, 2)
    (fault,) = caught.value.faults
    return fault


@pytest.mark.parametrize("method", METHODS)
def test_one_that_raises_is_named(method: str) -> None:
    fault = told(lambda: {}["x"], method)

    assert (fault.code, WHO in fault.message) == ("plugin-raises", True)
    assert f"KeyError in `{method}`" in fault.message


@pytest.mark.parametrize("method", METHODS)
def test_one_that_returns_nonsense_is_named(method: str) -> None:
    fault = told(lambda: 7, method)

    assert (fault.code, WHO in fault.message) == ("plugin-returns", True)
    assert f"int from `{method}`" in fault.message


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
