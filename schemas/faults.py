"""A file held against its schema: what is right of it, and all faults with their places.

This is the one home of the wording of faults in single values. Those between values are added by
the checks of `trimscribe.validation` and `trimscribe.read` to the same `FaultList`.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, is_dataclass
from itertools import islice
from typing import Any

import marshmallow as mm

from trimscribe.errors import Fault, Mark, Severity, first_of, nearest, suggest
from trimscribe.marked_yaml import YES_NO, LoadedYaml, ValuePath
from trimscribe.schemas.fields import Items, NamedValues, NestedMapping, Problem, Text
from trimscribe.schemas.wing_fields import Lengths

# Of refused keys of one block, so many are looked at for another one that they may be.
_SLIPS = 20
# `{path}` is the dotted path, `{found}` what is there, `{belongs}` what may be there.
_MOSTLY = "`{path}` is {found}; {belongs} belongs here."
_WORDS = {
    "adjustment-not-clear": "`{path}` needs either both loops or a change in mm, not a mixture.",
    "bad-row-name": "`{name}` cannot be the name of a row.",
    "column-not-clear": "`{path}` does not say one place; {belongs} belongs here.",
    "loop-not-clear": "`{path}` is {found}; the name of a loop, or one for left and right, belongs "
    "here.",
    "missing-key": "`{path}` is missing; {belongs} belongs here.",
    "not-a-name": "`{name}` cannot be a name here.",
    "text-too-long": "`{path}` is too long a text.",
    "unknown-key": "`{name}` is not a key of {around}.",
}
_HINTS = {
    "adjustment-not-clear": "Give loop_before and loop_after, or change_mm alone.",
    "bad-row-name": "A row's name does not end in a digit (`A: [7342, 7338]` is points A1 and A2), "
    "and `stabilo`, `brake` and `brake_main` have keys of their own.",
}
_MOST_FAULTS = 200  # of one file: nobody reads more, and a search for likely names takes time
_AT_THE_KEY = {"bad-row-name", "not-a-name", "unknown-key"}


def check(schema: mm.Schema, loaded: LoadedYaml) -> tuple[dict[str, Any], tuple[Fault, ...]]:
    """Hold a file against its schema: what is right of it, and all faults."""
    try:
        return dict(schema.load(loaded.data)), ()
    except mm.ValidationError as error:
        found = _walk(error.messages, schema, None, loaded, ())
        faults = tuple(islice(found, _MOST_FAULTS))
        if next(found, None):
            more = "There are more faults in this file than these."
            faults += (Fault("more-faults", more, faults[-1].mark, "Mend these first."),)
        valid = error.valid_data
        return (dict(valid) if isinstance(valid, Mapping) else {}), faults


@dataclass(frozen=True)
class ValidValues:
    """The values that are right in one mapping of a file; `root` is its path in that file."""

    values: dict[str, Any]
    loaded: LoadedYaml
    root: ValuePath = ()

    def get(self, *path: str | int) -> Any:
        """The value at a path, None where nothing (right) is.

        Below a mapping that was right as a whole is what the schema built of it.
        """
        value: Any = self.values
        for part in path:
            try:
                value = getattr(value, str(part), None) if is_dataclass(value) else value[part]
            except (KeyError, IndexError, TypeError):
                return None
        return value

    def part(self, *path: str | int) -> dict[Any, Any]:
        """The mapping at a path, empty where none is; without a path all of it."""
        value = self.get(*path)
        return value if isinstance(value, dict) else {}

    def entries(self, *path: str | int) -> list[Any]:
        """The list at a path, empty where none is."""
        value = self.get(*path)
        return list(value) if isinstance(value, list | tuple) else []

    def inside(self, name: str) -> "ValidValues":
        """One of the mappings as a whole of its own."""
        return ValidValues(self.part(name), self.loaded, (*self.root, name))

    def has(self, *path: str | int) -> bool:
        """Whether anything, right or wrong, was written at a path."""
        return (*self.root, *path) in self.loaded.marks

    def faulty(self, *path: str | int) -> bool:
        """Whether something wrong was written at a path, so that nothing of it is known.

        A key beside it that was refused may be this one misspelt.
        """
        *around, name = path
        right = self.part(*around)
        if name in right:
            return False
        written = _value(self.loaded.data, (*self.root, *around))
        refused = (key for key in written if key not in right) if isinstance(written, dict) else ()
        return self.has(*path) or any(nearest(key, [str(name)]) for key in islice(refused, _SLIPS))

    def mark(self, *path: str | int) -> Mark:
        """The place of a value, or of the nearest thing around it."""
        return self.loaded.mark((*self.root, *path))

    def key(self, *path: str | int) -> Mark:
        """The place of the key of a value."""
        return self.loaded.keys.get((*self.root, *path)) or self.mark(*path)

    def shown(self, *path: str | int) -> str:
        """A path as people read it."""
        return shown((*self.root, *path))


@dataclass
class FaultList:
    """Gathers faults in rounds: structure, schema, sense.

    One mistake gives one fault: what is where an earlier round already found an error is
    dropped.
    """

    faults: list[Fault] = field(default_factory=list)
    _taken: set[tuple[str, str, int, int]] = field(default_factory=set)

    def end_round(self) -> None:
        """From here on, places with an error are taken."""
        self._taken = {
            _where(f.mark) for f in self.faults if f.mark and f.severity is Severity.ERROR
        }

    def taken(self, mark: Mark) -> bool:
        """Whether an earlier round found an error at this place."""
        return _where(mark) in self._taken

    def add(self, *faults: Fault) -> None:
        """Take faults up."""
        self.faults += [f for f in faults if not f.mark or _where(f.mark) not in self._taken]

    def error(self, code: str, message: str, mark: Mark, hint: str = "") -> None:
        """Take up an error."""
        self.add(Fault(code, message, mark, hint))

    def warning(self, code: str, message: str, mark: Mark, hint: str = "") -> None:
        """Take up a warning."""
        self.add(Fault(code, message, mark, hint, Severity.WARNING))

    def sorted(self, files: list[str]) -> list[Fault]:
        """The first faults in file order: the job first, then the files as it names them."""
        order = {file: index for index, file in enumerate(files)}

        def key(fault: Fault) -> tuple[int, str, int, int]:
            mark = fault.mark
            if mark is None:
                return len(files) + 1, "", 0, 0
            sheet = mark.cell.rpartition("!")[0]
            return order.get(mark.file, len(files)), sheet, mark.line, mark.column

        return [*first_of(sorted(dict.fromkeys(self.faults), key=key))]


def _where(mark: Mark) -> tuple[str, str, int, int]:
    return mark.file, mark.cell, mark.line, mark.column


def shown(path: ValuePath) -> str:
    """A path as people read it: `before.left.A3`, `adjustments.2.line`; lists count from 1."""
    parts: list[str] = []
    for index, part in enumerate(path):
        if not isinstance(part, int):
            parts.append(part)
        elif index == 3 and path[0] in ("before", "after"):
            parts[-1] += str(part + 1)
        else:
            parts.append(str(part + 1))
    return ".".join(parts)


def _walk(
    tree: Any, field: Any, parent: Any, loaded: LoadedYaml, path: ValuePath
) -> Iterator[Fault]:
    if isinstance(tree, Mapping):
        unknown = (name for name, below in tree.items() if below == ["unknown-key"])
        misspelt = {nearest(name, _fields(field)) for name in islice(unknown, _SLIPS)}
        for name, below in tree.items():
            if name in misspelt and below == ["missing-key"]:
                continue  # reported where it is misspelt
            if name == mm.exceptions.SCHEMA:
                yield from _walk(below, field, parent, loaded, path)
            else:
                yield from _walk(below, _step(field, name), field, loaded, (*path, name))
    else:
        for leaf in tree:
            problem = leaf if isinstance(leaf, Problem) else Problem(str(leaf))
            yield _fault(problem, field, parent, loaded, path)


def _step(field: Any, name: Any) -> Any:
    """The field below another, None where there is none."""
    if isinstance(field, NestedMapping | mm.Schema):
        return _fields(field).get(name)
    return field.inner if isinstance(field, Items | NamedValues | Lengths) else field


def _fields(field: Any) -> Mapping[str, Any]:
    schema = field.schema if isinstance(field, NestedMapping) else field
    return schema.fields if isinstance(schema, mm.Schema) else {}


def _fault(problem: Problem, field: Any, parent: Any, loaded: LoadedYaml, path: ValuePath) -> Fault:
    code, name = problem.code, path[-1] if path else ""
    hint = problem.hint or _HINTS.get(code, "")
    value = _value(loaded.data, path)
    if not hint and code == "unknown-key":
        hint = suggest(name, problem.names or _fields(parent))
    elif code == "missing-key":
        hint = field.metadata["description"]
    elif not hint and code == "not-one-of":
        hint = suggest(value, problem.names, listed=False)  # the message lists them
    elif not hint and code == "not-a-mapping" and isinstance(value, str):
        hint = _braced(_fields(field), value)
    elif not hint and code == "not-a-list" and _is_plain_text(value) and _of_texts(field):
        hint = f"Write [{value}]."
    mark = (loaded.keys.get(path) if code in _AT_THE_KEY else None) or loaded.mark(path)
    found = _found(value)
    if code == "missing-value" and (trap := YES_NO.fullmatch(_underlined(mark))):
        # Read as nothing, because some programs read it as true or false.
        code, found = "yes-no-boolean", f"the word {trap[0]}"
    message = _WORDS.get(code, _MOSTLY).format(
        path=shown(path) or loaded.text.file,
        name=name,
        around=f"`{shown(path[:-1])}`" if len(path) > 1 else "this file",
        found=found,
        belongs=problem.belongs or getattr(field, "belongs", "a block of keys"),
    )
    return Fault(code, message, mark, hint)


def _underlined(mark: Mark) -> str:
    return mark.source[mark.column - 1 : mark.column - 1 + mark.width]


def _braced(fields: Mapping[str, Any], text: str) -> str:
    """A text where keys belong, written as the first of them that must be there."""
    name = next((key for key, one in fields.items() if one.required), next(iter(fields), ""))
    shown = text if _is_plain_text(text) else "…"
    return f"Write {{{name}: {shown}}}." if isinstance(fields.get(name), Text) else ""


def _is_plain_text(value: Any) -> bool:
    """Whether a text can be shown as it would be written in brackets."""
    return isinstance(value, str) and len(value) <= 40 and not set(value) & set(",:{}[]#\"'")


def _of_texts(field: Any) -> bool:
    return isinstance(field, Items) and isinstance(field.inner, Text)


def _value(data: Any, path: ValuePath) -> Any:
    for part in path:
        try:
            data = data[part]
        except (KeyError, IndexError, TypeError):
            return None
    return data


def _found(value: Any) -> str:
    """What is there, in words."""
    if value is None:
        return "empty"
    if isinstance(value, bool):
        return f"the word {str(value).lower()}"
    if isinstance(value, Mapping):
        return "a block of keys"
    if isinstance(value, list):
        return "a list" if value else "an empty list"
    if isinstance(value, str):
        return f"the text “{value if len(value) <= 40 else value[:40] + '…'}”"
    return f"the number {value:g}" if abs(value) < 1e6 else f"the number {value}"
