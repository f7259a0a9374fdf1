"""What a file holds after values are merged into it: the rule of `edit`, on plain data.

It is the reference that every edited text is compared with before it is written.
"""

from collections.abc import Callable, Mapping, Sequence
from typing import Any

from trimscribe.marked_yaml import ValuePath

# The fields that tell one record of a list from the others.
Identity = Callable[[ValuePath], Sequence[str]]


def merged(data: Any, wanted: Any, identity: Identity, *, force: bool, path: ValuePath = ()) -> Any:
    """What is wanted fills what is empty, and with `force` replaces what differs."""
    if wanted is None:
        return data
    if data is None:
        return wanted
    if isinstance(wanted, Mapping) and isinstance(data, Mapping):
        new = dict(data)
        for key, value in wanted.items():
            below = (*path, key)
            there = key in data
            new[key] = _below(data[key], value, identity, force, below) if there else value
        return new
    if isinstance(wanted, list) and isinstance(data, int | float):
        lengths = _list([data], wanted, identity, force, path)
        return lengths[0] if len(lengths) == 1 else lengths
    if isinstance(wanted, list) and isinstance(data, list):
        return _list(data, wanted, identity, force, path)
    return wanted if force else data


def _below(data: Any, wanted: Any, identity: Identity, force: bool, path: ValuePath) -> Any:
    return merged(data, wanted, identity, force=force, path=path)


def _list(
    data: list[Any], wanted: list[Any], identity: Identity, force: bool, path: ValuePath
) -> Any:
    new = list(data)
    if not any(isinstance(one, Mapping) for one in wanted):
        for number, value in enumerate(wanted):
            if number < len(data):
                new[number] = _below(data[number], value, identity, force, (*path, number))
            else:
                new.append(value)
        return new
    names = identity(path)
    known = {tuple(one.get(name) for name in names): n for n, one in enumerate(data)}
    for record in wanted:
        at = known.get(tuple(record.get(name) for name in names))
        if at is None:
            new.append(record)
        else:
            new[at] = _below(data[at], record, identity, force, (*path, at))
    return new
