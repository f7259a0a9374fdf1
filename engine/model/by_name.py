"""Constructors that take values by name, so that a field can be added and no plugin breaks."""

import functools
import warnings
from dataclasses import dataclass, fields
from typing import Any, TypeVar, dataclass_transform

T = TypeVar("T")


@dataclass_transform(kw_only_default=True, frozen_default=True)
def by_name(cls: type[T]) -> type[T]:
    """Make a frozen dataclass whose values are given by name.

    Plugins of contract 1 gave them by position. That still works, in the order of the fields, with
    a DeprecationWarning; type checkers refuse it.
    """
    made: Any = dataclass(frozen=True, kw_only=True)(cls)
    names = [field.name for field in fields(made)]
    constructor = made.__init__

    @functools.wraps(constructor)
    def construct(self: object, *values: object, **named: object) -> None:
        if values:
            warnings.warn(
                f"{cls.__name__} takes its values by name since contract 2: "
                f"{', '.join(f'{name}=…' for name in names[: len(values)])}",
                DeprecationWarning,
                stacklevel=2,
            )
            if len(values) > len(names):
                raise TypeError(f"{cls.__name__} has {len(names)} values, not {len(values)}")
        constructor(self, **dict(zip(names, values, strict=False)), **named)

    made.__init__ = construct
    wanted: type[T] = made
    return wanted
