"""What the style of a page may say, so that what must be read can be read, by day and in the dark.

Properties are those that set text, boxes and tables; none that hides, moves away, covers or
fetches. Colours come from the theme's tokens, whose contrast was checked.
"""

import re
from collections.abc import Iterator

import tinycss2
from tinycss2.ast import AtRule, Declaration, Node, ParseError, QualifiedRule, URLToken

from trimscribe.errors import Fault

__all__ = ["wrong_style"]

_AT_RULES = {"media", "page", "supports"}
_KNOWN = re.compile(
    r"font|font-(?:family|size|weight|style|stretch|variant|variant-\w+|feature-settings)|"
    r"line-height|letter-spacing|word-spacing|white-space|overflow-wrap|word-break|hyphens|"
    r"text-(?:align|align-last|wrap|transform|decoration|decoration-\w+|underline-offset)|"
    r"color|background|background-color|fill|stroke|stroke-\w+|border|border-[\w-]+|"
    r"padding|padding-[\w-]+|margin|margin-[\w-]+|gap|row-gap|column-gap|columns|"
    r"column-(?:count|width|rule|span)|display|flex|flex-\w+|grid|grid-[\w-]+|order|"
    r"(?:align|justify|place)-(?:content|items|self)|vertical-align|box-sizing|size|"
    r"(?:min-|max-)?(?:width|height)|overflow|overflow-[xy]|list-style|list-style-\w+|"
    r"table-layout|caption-side|orphans|widows|(?:page-)?break-[\w-]+|object-fit|aspect-ratio"
)
_INK = re.compile(
    r"var\(--(?:text|quiet|before-text|after|outside|accent)\)|inherit|currentcolor", re.I
)
_GROUND = re.compile(r"var\(--(?:background|wash)\)|none|transparent|inherit", re.I)
_SMALLEST = {"em": 0.75, "rem": 0.75, "px": 12.0, "pt": 9.0, "%": 75.0}
_NARROWEST = {"em": 6.0, "rem": 6.0, "px": 96.0, "%": 30.0}
_SIZE = re.compile(r"(?<![\w.])([\d.]+)(em|rem|px|pt|%)(?![\w.])")
# What shows no text may have any size.
_TEXTLESS = re.compile(r"(?:img|svg|\.mark|\.drawing)$")


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
                yield from _declarations(node.content, textless=False)
            else:
                yield from _rules(tinycss2.parse_rule_list(node.content, True, True))
        elif isinstance(node, QualifiedRule):
            selectors = tinycss2.serialize(node.prelude).split(",")
            textless = all(_TEXTLESS.search(selector.strip()) for selector in selectors)
            yield from _declarations(node.content, textless=textless)


def _declarations(content: list[Node], *, textless: bool) -> Iterator[Fault]:
    for node in tinycss2.parse_blocks_contents(content, True, True):
        if isinstance(node, Declaration):
            message, hint = _wrong(node, textless)
            if message:
                said = f"`{node.lower_name}: {tinycss2.serialize(node.value).strip()}`"
                yield _fault(f"{said} {message}.", hint)
        else:
            yield _fault("A rule of a page holds declarations, and nothing else.")


def _wrong(node: Declaration, textless: bool) -> tuple[str, str]:
    """What is wrong with a declaration, and what to write instead; empty when it is fine."""
    name, value = node.lower_name, tinycss2.serialize(node.value).strip().lower()
    if any(isinstance(part, URLToken) for part in node.value) or "url(" in value:
        return "fetches something", "A page holds all that it needs."
    if not _KNOWN.fullmatch(name) or (name == "display" and "none" in value):
        return "can hide what must be read", "A page sets text, boxes and tables."
    if name == "color" and not _INK.fullmatch(value):
        return "is no ink of the theme for text", "Use var(--text), var(--quiet), var(--accent) …"
    if name.startswith("background") and not _GROUND.fullmatch(value):
        return "is no ground of the theme", "Use var(--background) or var(--wash)."
    if name in ("font-size", "font") and not _at_least(value, _SMALLEST):
        return "is too small to be read, or says no size", "0.75 rem, or 12 px, is the least."
    if name == "line-height" and not re.fullmatch(r"[1-9][\d.]*|inherit", value):
        return "lets lines run into each other", "Write a number from 1, without a unit."
    if name.startswith("overflow") and name != "overflow-wrap" and re.search("hidden|clip", value):
        return "can cut what must be read", "Use auto: what is too wide can be scrolled."
    if re.fullmatch(r"margin.*|.*-spacing", name) and "-" in value:
        return "can push text away or together", "Write no negative length."
    if not textless and name in ("height", "max-height") and value not in ("auto", "none"):
        return "can cut what must be read", "Pictures and marks alone have a height."
    if not textless and name in ("width", "max-width") and value not in ("auto", "none"):
        return ("", "") if _at_least(value, _NARROWEST) else ("is too narrow for text", "")
    return "", ""


def _at_least(value: str, least: dict[str, float]) -> bool:
    """Whether a value says its sizes plainly, and none is too small."""
    sizes = _SIZE.findall(value)
    if value == "inherit":
        return True
    return bool(sizes) and all(float(size) >= least.get(unit, 1e9) for size, unit in sizes[:1])


def _fault(message: str, hint: str = "") -> Fault:
    return Fault("style-refused", message, hint=hint)
