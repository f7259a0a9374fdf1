"""Values into YAML text in place: comments, order and every other byte stay as they are.

What is wanted is a tree of plain data. It is walked beside the tree of places in the text. An empty
value (`~`) is filled, an equal one left, a differing one replaced only with `force`; what is not
there yet is put in after what is before it. `merged` is the same rule on plain data: the reference
that an edited text is compared with before it is written.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from trimscribe.exports.editing.yaml_text import block, flow, scalar
from trimscribe.marked_yaml import LoadedYaml, Node, ValuePath, outline

Order = Callable[[ValuePath], Sequence[str]]
# The fields that tell one record of a list from the others.
Identity = Callable[[ValuePath], Sequence[str]]


@dataclass(frozen=True)
class ValueConflict:
    """A value that is in the text already, and another that is wanted there."""

    path: ValuePath
    old: Any
    new: Any


@dataclass(frozen=True)
class Edited:
    """The new text, and what it replaces or (without `force`) would have to replace."""

    text: str
    differences: tuple[ValueConflict, ...]


def edit(
    loaded: LoadedYaml, wanted: Mapping[str, Any], order: Order, identity: Identity, *, force: bool
) -> Edited:
    """Lay values into a text that was loaded without faults; `order` gives keys in their order."""
    text = loaded.text.whole
    root = outline(loaded.text)
    editor = _Editor(text, order, identity, force)
    if root is not None:
        editor.mapping(root, loaded.data, wanted, ())
    return Edited(editor.result(), tuple(editor.differences))


@dataclass
class _Editor:
    """Gathers replacements of parts of the text: start, end, new text."""

    text: str
    order: Order
    identity: Identity
    force: bool
    cuts: list[tuple[int, int, str]] = field(default_factory=list)
    differences: list[ValueConflict] = field(default_factory=list)

    def result(self) -> str:
        """The text with all replacements; those at one place stay in the order they came."""
        text, shift = self.text, 0
        for start, end, new in sorted(self.cuts, key=lambda cut: (cut[0], cut[1])):
            text = text[: start + shift] + new + text[end + shift :]
            shift += len(new) - (end - start)
        return text

    def mapping(self, node: Node, data: Any, wanted: Mapping[str, Any], path: ValuePath) -> None:
        """Lay a mapping over one that is there."""
        missing = {}
        for key, value in wanted.items():
            if node.entries is not None and key in node.entries:
                self.value(node.entries[key], data[key], value, (*path, key), node.column)
            else:
                missing[key] = value
        if missing:
            self._insert(node, missing, path)

    def value(self, node: Node, data: Any, wanted: Any, path: ValuePath, indent: int) -> None:
        """Lay any value over what is there; `indent` is that of the key it is under."""
        if wanted is None or data == wanted:
            return
        if data is None:
            self._fill(node, wanted, indent)
        elif isinstance(wanted, Mapping) and isinstance(data, Mapping):
            self.mapping(node, data, wanted, path)
        elif isinstance(wanted, list) and isinstance(data, list):
            self._list(node, data, wanted, path)
        elif isinstance(wanted, list) and isinstance(data, int | float):
            self._list_over_number(node, data, wanted, path)
        else:
            self.differences.append(ValueConflict(path, data, wanted))
            if self.force:
                self.cuts.append((node.start, node.end, flow(wanted)))

    def _list(self, node: Node, data: list[Any], wanted: list[Any], path: ValuePath) -> None:
        items = node.items or ()
        if any(isinstance(one, Mapping) for one in wanted):
            added = self._records(items, data, wanted, path)
        else:
            for number, one in enumerate(wanted[: len(data)]):
                self.value(items[number], data[number], one, (*path, number), node.column)
            added = wanted[len(data) :]
        if added:
            self._append(node, items, added)

    def _records(
        self, items: Sequence[Node], data: list[Any], wanted: list[Any], path: ValuePath
    ) -> list[Any]:
        """Lay records over those with the same identity; return those that are new."""
        names = self.identity(path)
        known = {tuple(one.get(name) for name in names): n for n, one in enumerate(data)}
        added = []
        for record in wanted:
            number = known.get(tuple(record.get(name) for name in names))
            if number is None:
                added.append(record)
            else:
                self.mapping(items[number], data[number], record, (*path, number))
        return added

    def _list_over_number(self, node: Node, data: Any, wanted: list[Any], path: ValuePath) -> None:
        """A number alone is a list of one."""
        if wanted[0] is not None and wanted[0] != data:
            self.differences.append(ValueConflict((*path, 0), data, wanted[0]))
        first = wanted[0] if self.force and wanted[0] is not None else data
        new = [first, *wanted[1:]]
        if first != data or len(new) > 1:
            self.cuts.append((node.start, node.end, scalar(first) if len(new) == 1 else flow(new)))

    def _append(self, node: Node, items: Sequence[Node], added: list[Any]) -> None:
        if node.flow:
            new = ", ".join(map(flow, added))
            place = items[-1].end if items else node.start + 1
            self.cuts.append((place, place, f", {new}" if items else new))
        else:
            lines = [f"{' ' * node.column}- {flow(one)}" for one in added]
            self._lines_after(items[-1].end, lines)

    def _fill(self, node: Node, wanted: Any, indent: int) -> None:
        """Put a value where `~` or nothing is."""
        start = len(self.text[: node.start].rstrip(" "))
        if isinstance(wanted, Mapping) and not node.flow:
            self.cuts.append((start, node.end, ""))
            lines = [line for k, v in wanted.items() for line in block(k, v, indent + 2)]
            self._lines_after(node.end, lines)
        else:
            blank = " " if self.text[node.start - 1 : node.start] == ":" else ""
            self.cuts.append((node.start, node.end, blank + flow(wanted)))

    def _insert(self, node: Node, missing: Mapping[str, Any], path: ValuePath) -> None:
        """Put new keys into a mapping, each after the one that comes before it in the order."""
        there = node.entries or {}
        order = list(dict.fromkeys([*self.order(path), *missing]))
        for key in sorted(missing, key=order.index):
            before = [name for name in order[: order.index(key)] if name in there]
            after = there[before[-1]] if before else next(reversed(list(there.values())), None)
            if node.flow:
                new = f"{scalar(key)}: {flow(missing[key])}"
                place = after.end if after else node.start + 1
                self.cuts.append((place, place, f", {new}" if after else new))
            elif after:
                self._lines_after(after.end, block(key, missing[key], node.column))

    def _lines_after(self, place: int, lines: Sequence[str]) -> None:
        """Put whole lines in below the line that a place is on, in the file's own line ends."""
        end = self.text.find("\n", place)
        line_end = "\r\n" if "\r\n" in self.text else "\n"
        if end < 0:
            new = line_end + line_end.join(lines)
            self.cuts.append((len(self.text), len(self.text), new))
        else:
            new = "".join(line + line_end for line in lines)
            self.cuts.append((end + 1, end + 1, new))


def merged(data: Any, wanted: Any, identity: Identity, *, force: bool, path: ValuePath = ()) -> Any:
    """What a file holds after values are laid into it: what is wanted fills what is empty.

    With `force` it replaces what differs.
    """
    if wanted is None:
        return data
    if data is None:
        return wanted
    if isinstance(wanted, Mapping) and isinstance(data, Mapping):
        new = dict(data)
        for key, value in wanted.items():
            below, there = (*path, key), key in data
            new[key] = (
                merged(data[key], value, identity, force=force, path=below) if there else value
            )
        return new
    if isinstance(wanted, list) and isinstance(data, int | float):
        lengths = _merged_list([data], wanted, identity, force, path)
        return lengths[0] if len(lengths) == 1 else lengths
    if isinstance(wanted, list) and isinstance(data, list):
        return _merged_list(data, wanted, identity, force, path)
    return wanted if force else data


def _merged_list(
    data: list[Any], wanted: list[Any], identity: Identity, force: bool, path: ValuePath
) -> Any:
    new = list(data)
    if not any(isinstance(one, Mapping) for one in wanted):
        for number, value in enumerate(wanted):
            if number < len(data):
                new[number] = merged(
                    data[number], value, identity, force=force, path=(*path, number)
                )
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
            new[at] = merged(data[at], record, identity, force=force, path=(*path, at))
    return new
