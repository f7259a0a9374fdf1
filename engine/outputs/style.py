"""What the style of a page may say, so that what must be read can be read, by day and in the dark.

Colours come from the theme's tokens, whose contrast was checked; nothing is hidden, moved away,
or fetched.
"""

import re
from collections.abc import Iterator

import tinycss2
from tinycss2.ast import AtRule, Declaration, Node, ParseError, QualifiedRule, URLToken

from trimscribe.errors import Fault

__all__ = ["wrong_style"]

_AT_RULES = {"media", "page", "supports"}
_HIDING = re.compile(
    r"visibility|opacity|filter|backdrop-filter|transform.*|translate|scale|rotate|content|"
    r"clip.*|mask.*|text-indent|zoom|z-index|position|left|top|right|bottom|inset.*|all|float|"
    r"content-visibility|mix-blend-mode|animation.*|transition.*|line-clamp|-.+"
)
_COLOUR = re.compile(
    r"(?:var\(--(?:text|quiet|before-text|after|outside|accent)\)|inherit|currentcolor)", re.I
)
_GROUND = re.compile(r"(?:var\(--(?:background|wash)\)|none|transparent|inherit)", re.I)
_SMALLEST = {"em": 0.75, "rem": 0.75, "px": 12.0, "pt": 9.0, "%": 75.0}
_SIZE = re.compile(r"([\d.]+)(em|rem|px|pt|%)")


def wrong_style(text: str) -> Iterator[Fault]:
    """All that a style sheet may not say, each once."""
    yield from dict.fromkeys(_rules(tinycss2.parse_stylesheet(text, True, True)))


def _rules(nodes: list[Node]) -> Iterator[Fault]:
    for node in nodes:
        if isinstance(node, ParseError):
            yield _fault(f"The style is no CSS: {node.message}")
        elif isinstance(node, AtRule):
            if node.lower_at_keyword not in _AT_RULES or node.content is None:
                yield _fault(f"@{node.at_keyword} is not for pages.")
            elif node.lower_at_keyword == "page":
                yield from _declarations(node.content)
            else:
                yield from _rules(tinycss2.parse_rule_list(node.content, True, True))
        elif isinstance(node, QualifiedRule):
            yield from _declarations(node.content)


def _declarations(content: list[Node]) -> Iterator[Fault]:
    for node in tinycss2.parse_blocks_contents(content, True, True):
        if isinstance(node, Declaration):
            yield from _declaration(node)
        else:
            yield _fault("A rule holds declarations, and nothing else.")


def _declaration(node: Declaration) -> Iterator[Fault]:
    name, value = node.lower_name, tinycss2.serialize(node.value).strip()
    said = f"`{name}: {value}`"
    if any(isinstance(part, URLToken) for part in node.value) or "url(" in value.lower():
        yield _fault(f"{said} fetches something.", "A page holds all that it needs.")
    elif _HIDING.fullmatch(name) or (name == "display" and "none" in value):
        yield _fault(f"{said} can hide what must be read.")
    elif name == "color" and not _COLOUR.fullmatch(value):
        hint = "Use an ink for text: var(--text), var(--quiet), var(--accent) …"
        yield _fault(f"{said} is no ink of the theme for text.", hint)
    elif name.startswith("background") and not _GROUND.fullmatch(value):
        hint = "Use var(--background) or var(--wash)."
        yield _fault(f"{said} is no ground of the theme.", hint)
    elif name in ("font-size", "font") and _tiny(value):
        yield _fault(f"{said} is too small to be read.", "12 px, or 0.75 em, is the least.")
    elif name in ("height", "max-height", "width", "max-width", "overflow") and _cut(name, value):
        yield _fault(f"{said} can cut what must be read.")
    elif name.startswith("margin") and "-" in value:
        yield _fault(f"{said} can push text off the page.")


def _tiny(value: str) -> bool:
    return any(float(size) < _SMALLEST[unit] for size, unit in _SIZE.findall(value))


def _cut(name: str, value: str) -> bool:
    return value in ("hidden", "clip") if name == "overflow" else bool(re.match(r"0\D*$", value))


def _fault(message: str, hint: str = "") -> Fault:
    return Fault("style-refused", message, hint=hint)
