"""The one home of YAML: a strict loader in which every value knows file, line and column.

It reads YAML and, because JSON is nearly a subset, JSON through the same door. Strict means that
whatever YAML would silently read as something else is a fault with a place and a hint: repeated
keys, `010`, `12:30`, `yes`, `.nan`, anchors, merge keys, tags, tabs. Dates stay text.

The parser's events are read one by one instead of its finished tree. So nesting is capped before
anything recurses, an alias can never multiply, and whatever was found before a syntax error is
still reported.
"""

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any, NamedTuple

import yaml

from trimscribe.errors import Fault, Mark
from trimscribe.marked_text import MarkedText
from trimscribe.syntax_faults import syntax_fault

__all__ = ["LARGEST", "YES_NO", "LoadedYaml", "Node", "ValuePath", "load", "outline", "plain_value"]

ValuePath = tuple[str | int, ...]

LARGEST = 2_000_000  # bytes of one file; a full job has about 20,000
DEEPEST = 20  # levels of nesting; a full job has six
MOST_FAULTS = 200  # more would only hide the first

# libyaml where PyYAML was built with it, about ten times as fast; else the same in Python.
_PARSER: Any = getattr(yaml, "CSafeLoader", yaml.SafeLoader)

_SURROGATES = re.compile(
    r"(?<!\\)((?:\\\\)*)\\u(d[89ab][0-9a-f]{2})\\u(d[c-f][0-9a-f]{2})", re.IGNORECASE
)


@dataclass(frozen=True)
class LoadedYaml:
    """One file as plain data, with where everything was and what is wrong with it.

    `data` is None when the file cannot be parsed. `marks` gives each value's place by its path
    (keys and list positions from 0; `()` is the whole file); a mapping or list under a key is
    marked by that key. `keys` gives the place of each key itself. `text` marks any other place.
    """

    data: Any
    marks: Mapping[ValuePath, Mark]
    keys: Mapping[ValuePath, Mark]
    faults: tuple[Fault, ...]
    text: MarkedText

    def mark(self, path: ValuePath) -> Mark:
        """The place of a value, or of the nearest thing around it that is written."""
        while path not in self.marks and path:
            path = path[:-1]
        return self.marks.get(path, self.text.start)


def load(data: bytes, file: str) -> LoadedYaml:
    """Read YAML or JSON; `file` is the path as typed, for the marks. Never raises on bad input."""
    json = file.lower().endswith(".json")
    text, faults = MarkedText.decode(data, file, LARGEST, tabs=json)
    if not text.readable:
        return LoadedYaml(None, {}, {}, faults, text)
    return _Builder(text, list(faults)).build(_json_as_yaml(text.whole) if json else text.whole)


def _json_as_yaml(json: str) -> str:
    """JSON where YAML differs from it: tabs are white space, a surrogate pair is one escape.

    The one escape is two characters shorter, so columns behind it on that line are two too low.
    """

    def escape(match: re.Match[str]) -> str:
        high, low = int(match[2], 16), int(match[3], 16)
        return f"{match[1]}\\U{0x10000 + ((high - 0xD800) << 10) + (low - 0xDC00):08X}"

    return _SURROGATES.sub(escape, json.replace("\t", " "))


class _Enough(Exception):  # noqa: N818 (no error: the faults are reported, the walk just ends)
    """Stops the walk where nesting or the number of faults passes the cap."""


@dataclass
class _Builder:
    """Walks the parser's events once."""

    text: MarkedText
    faults: list[Fault]
    marks: dict[ValuePath, Mark] = field(default_factory=dict)
    keys: dict[ValuePath, Mark] = field(default_factory=dict)
    last: Any = None  # the parser's newest event

    def build(self, source: str) -> LoadedYaml:
        data: Any = None
        parser = _PARSER(source)
        try:
            data = self._document(self._events(parser))
        except yaml.MarkedYAMLError as error:
            fault = syntax_fault(error, self.last, self.text)
            if fault.mark not in [known.mark for known in self.faults]:
                self.faults.append(fault)
        except yaml.YAMLError as error:
            message = f"This is not YAML: {error}."
            self.faults.append(Fault("not-yaml", message, self.text.start))
        except _Enough:
            pass
        finally:
            parser.dispose()
        self.marks.setdefault((), self.text.start)
        return LoadedYaml(data, self.marks, self.keys, tuple(self.faults), self.text)

    def _document(self, events: Iterator[Any]) -> Any:
        data: Any = None
        documents = 0
        for event in events:
            if isinstance(event, yaml.DocumentStartEvent):
                documents += 1
                if documents > 1:
                    self._fault(
                        "several-documents",
                        "A second document starts here; a file holds one.",
                        self.text.between(event.start_mark, event.end_mark),
                        "Remove the line --- or split the file.",
                    )
                    break
                data = self._node(next(events), events, (), None)
        if data is None:
            self._fault("empty-file", "There is nothing in this file.", self.text.start)
        return data

    def _node(self, event: Any, events: Iterator[Any], path: ValuePath, key: Mark | None) -> Any:
        """One value and all below it; `key` is the mark of the key it is under."""
        place = self.text.between(event.start_mark, event.end_mark)
        if isinstance(event, yaml.AliasEvent):
            self.marks[path] = place
            self._fault(
                "alias", f"`*{event.anchor}` repeats another value.", place, "Write the value out."
            )
            return None
        if event.anchor is not None:
            self._fault(
                "anchor",
                f"`&{event.anchor}` names a value.",
                place,
                "Write the value out each time.",
            )
        if event.tag is not None:
            self._fault(
                "explicit-tag",
                f"`{event.tag}` sets a type by hand.",
                place,
                "Leave it out; put text in quotes.",
            )
        if isinstance(event, yaml.ScalarEvent):
            self.marks[path] = place
            return event.value if event.style else self._plain(event.value, path, key)
        self.marks[path] = place if key is None else key
        if len(path) >= DEEPEST:
            self._fault("nested-too-deeply", f"More than {DEEPEST} levels are nested here.", place)
            raise _Enough
        if isinstance(event, yaml.SequenceStartEvent):
            return self._sequence(events, path)
        return self._mapping(events, path)

    def _sequence(self, events: Iterator[Any], path: ValuePath) -> list[Any]:
        values: list[Any] = []
        for event in events:
            if isinstance(event, yaml.SequenceEndEvent):
                break
            values.append(self._node(event, events, (*path, len(values)), None))
        return values

    def _mapping(self, events: Iterator[Any], path: ValuePath) -> dict[str, Any]:
        values: dict[str, Any] = {}
        for event in events:
            if isinstance(event, yaml.MappingEndEvent):
                break
            key, mark = self._key(event, events, path)
            below = (*path, key)
            if key in values:
                first = self.keys[below].line
                self._fault(
                    "duplicate-key",
                    f"`{key}` was already given in line {first}.",
                    mark,
                    "Keep one of the two.",
                )
                # Walked for its own faults, then dropped: the first one is.
                kept = dict(self.marks), dict(self.keys)
                self._node(next(events), events, below, mark)
                self.marks, self.keys = kept
                continue
            self.keys[below] = mark
            values[key] = self._node(next(events), events, below, mark)
        return values

    def _key(self, event: Any, events: Iterator[Any], path: ValuePath) -> tuple[str, Mark]:
        """The text of a key; anything else is a fault and gets a name of its own."""
        mark = self.text.between(event.start_mark, event.end_mark)
        if not isinstance(event, yaml.ScalarEvent):
            before = len(self.faults)
            self._node(event, events, (*path, f"key in line {mark.line}"), mark)
            del self.faults[before:]
            self._key_fault("A list, mapping or alias is used as a key.", mark)
            return f"key in line {mark.line}", mark
        if event.anchor is not None or event.tag is not None:
            self._key_fault(f"The key `{event.value}` carries an anchor or a tag.", mark)
        elif not event.style and event.value == "<<":
            self._fault(
                "merge-key", "`<<` merges another mapping into this one.", mark, "Write it out."
            )
        elif not event.style and not isinstance(plain_value(event.value), str):
            self._key_fault(f"The key `{event.value}` is not text.", mark)
        return event.value, mark

    def _key_fault(self, message: str, mark: Mark) -> None:
        self._fault("key-not-text", message, mark, "A key is a word; put it in quotes if need be.")

    def _plain(self, text: str, path: ValuePath, key: Mark | None) -> Any:
        value = plain_value(text)
        if not text and key is not None:
            value = _lost(key.source[key.column - 1 + key.width :])
            if value:
                self.marks[path] = key
        if not isinstance(value, Refusal):
            return value
        self._fault(value.code, value.message, self.marks[path], value.hint)
        return None

    def _events(self, parser: Any) -> Iterator[Any]:
        while parser.check_event():
            self.last = parser.get_event()
            yield self.last

    def _fault(self, code: str, message: str, mark: Mark, hint: str = "") -> None:
        self.faults.append(Fault(code, message[:1].upper() + message[1:], mark, hint))
        if len(self.faults) >= MOST_FAULTS:
            raise _Enough


class Refusal(NamedTuple):
    """Why something is not read: a fault's code, a sentence, and the way out."""

    code: str
    message: str
    hint: str


_BOOLEANS = {"true": True, "True": True, "TRUE": True} | dict.fromkeys(
    ("false", "False", "FALSE"), False
)
_NULLS = {"", "~", "null", "Null", "NULL"}
_WHOLE = re.compile(r"[-+]?(?:0|[1-9]\d*)", re.ASCII)
_DECIMAL = re.compile(r"[-+]?(?:(?:0|[1-9]\d*)(?:\.\d*)?|\.\d+)(?:[eE][-+]?\d+)?", re.ASCII)
_LONGEST_NUMBER = 40  # characters
# Most words are plain text: these two tell so at once.
_MAY_BE_NUMBER = re.compile(r"[-+.\d]", re.ASCII)
_WORD = re.compile(r"[A-Za-z]{2,8}")

_LOST = re.compile(r"\s*:\s+(#(?:(?:[0-9a-fA-F]{3}){1,2}|\d\S*))(?:\s.*)?")

YES_NO = re.compile(r"(?i:yes|no|on|off)")
# What looks like one value and is read as another by some YAML programs: nobody shall have to know
# which program reads what. Pattern, code, what it is, the way out.
_TRAPS = (
    (
        YES_NO,
        "yes-no-boolean",
        "Some YAML programs read `{text}` as true or false, others as a word.",
        "Write true or false, or put the word in quotes.",
    ),
    (
        re.compile(r"[-+]?0[0-9_]+(?:\.\d*)?", re.ASCII),
        "implicit-octal",
        "`{text}` starts with a zero, which some YAML programs read as an octal number.",
        'Write the number without the leading zero, or as text in quotes: "{text}".',
    ),
    (
        re.compile(r"[-+]?0(?:o[0-7_]+|x[0-9a-fA-F_]+|b[01_]+)", re.ASCII),
        "number-in-another-base",
        "`{text}` is a number in another base than ten.",
        'Write it in plain decimal digits, or as text in quotes: "{text}".',
    ),
    (
        re.compile(r"[-+]?\d[\d_]*(?::[0-5]?\d)+(?:\.[\d_]*)?", re.ASCII),
        "sexagesimal-number",
        "Some YAML programs read `{text}` as a number to the base 60.",
        'Put a time or a ratio in quotes: "{text}".',
    ),
    (
        re.compile(r"[-+]?\d[\d.]*_[\d_.]*", re.ASCII),
        "number-with-underscore",
        "`{text}` has an underscore inside a number.",
        'Write the digits without it, or as text in quotes: "{text}".',
    ),
    (
        re.compile(r"[-+]?\.(?i:inf|nan)"),
        "not-a-finite-number",
        "`{text}` is not a number that can be measured.",
        "Leave out what was not measured, or write ~.",
    ),
)


def plain_value(text: str) -> bool | int | float | str | Refusal | None:
    """The value of a word without quotes. Dates stay text; decimal commas are text."""
    if text in _NULLS:
        return None
    if text in _BOOLEANS:
        return _BOOLEANS[text]
    if not _MAY_BE_NUMBER.match(text) and not _WORD.fullmatch(text):
        return text
    if _DECIMAL.fullmatch(text):
        if len(text) <= _LONGEST_NUMBER and abs(value := float(text)) != float("inf"):
            return int(text) if _WHOLE.fullmatch(text) else value
        return Refusal("number-too-long", f"`{text[:20]}…` has too many digits.", "Write fewer.")
    for pattern, code, what, hint in _TRAPS:
        if pattern.fullmatch(text):
            return Refusal(code, what.format(text=text), hint.format(text=text))
    return text


def _lost(behind: str) -> Refusal | None:
    """A colour or a number behind # without quotes is a comment; `behind` follows its key."""
    found = _LOST.fullmatch(behind)
    if found is None:
        return None
    message = f"`{found[1]}` without quotes is a comment, so nothing is here."
    return Refusal("colour-not-quoted", message, f'Put it in quotes: "{found[1]}".')


@dataclass(frozen=True)
class Node:
    """Where one value is in the text, for those who edit it in place.

    `start` and `end` count characters; blanks and comments behind the value are outside. `flow`
    says that it is a collection in brackets, or is in one. A mapping has `entries` by key, a
    list has `items`, a single value neither.
    """

    start: int
    end: int
    column: int
    flow: bool
    entries: Mapping[str, "Node"] | None = None
    items: tuple["Node", ...] | None = None


def outline(text: MarkedText) -> Node | None:
    """The tree of places in a text that `load` found no fault in; None when it is empty."""
    parser = _PARSER(text.whole)
    try:
        root = parser.get_single_node()
    finally:
        parser.dispose()
    starts = [0]
    for line in text.whole.splitlines(keepends=True):
        starts.append(starts[-1] + len(line))
    return _outlined(root, text.whole, starts, flow=False) if root else None


def _outlined(node: Any, text: str, starts: list[int], *, flow: bool) -> Node:
    start = starts[node.start_mark.line] + node.start_mark.column
    end = starts[node.end_mark.line] + node.end_mark.column
    if isinstance(node, yaml.ScalarNode):
        # A text over several lines ends where its last words do.
        return Node(start, max(start, len(text[:end].rstrip())), node.start_mark.column, flow)
    flow = flow or bool(node.flow_style)
    entries, items = None, None
    if isinstance(node, yaml.MappingNode):
        entries = {key.value: _outlined(v, text, starts, flow=flow) for key, v in node.value}
        below = list(entries.values())
    else:
        items = tuple(_outlined(one, text, starts, flow=flow) for one in node.value)
        below = list(items)
    if not node.flow_style and below:
        end = below[-1].end
    return Node(start, end, node.start_mark.column, flow, entries, items)
