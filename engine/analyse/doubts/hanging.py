"""What hangs on lengths in doubt: it would have been assessed with them, and is not without."""

from collections.abc import Mapping
from dataclasses import fields, is_dataclass, replace
from typing import TypeVar

from trimscribe.model.findings import Effect, State, WhyNot

__all__ = ["hanging_on_doubts"]

T = TypeVar("T")


def hanging_on_doubts(state: State, whole: State) -> State:
    """The state, judged without lines in doubt, saying so where `whole`, with them, says more."""
    offset_why = state.offset_why
    if offset_why and not whole.offset_why:
        offset_why = WhyNot.IN_DOUBT
    return replace(
        state,
        offset_why=offset_why,
        pitch=_hanging(state.pitch, whole.pitch),
        symmetry=_hanging(state.symmetry, whole.symmetry),
        residuals=_hanging(state.residuals, whole.residuals),
        brakes=_hanging(state.brakes, whole.brakes),
        brake_difference=_hanging(state.brake_difference, whole.brake_difference),
    )


def _hanging(part: T, whole: T) -> T:
    """Every effect in it that has no value, and has one in `whole`, names the doubt."""
    if isinstance(part, Effect) and isinstance(whole, Effect):
        if part.value is None and whole.value is not None:
            return replace(part, why_not=WhyNot.IN_DOUBT)
        return part
    found: object = part
    if isinstance(part, Mapping) and isinstance(whole, Mapping):
        found = {key: _hanging(one, whole[key]) if key in whole else one
                 for key, one in part.items()}  # fmt: skip
    elif is_dataclass(part) and not isinstance(part, type):
        found = replace(
            part,
            **{f.name: _hanging(getattr(part, f.name), getattr(whole, f.name))
               for f in fields(part)},
        )  # fmt: skip
    return found  # type: ignore[return-value]
