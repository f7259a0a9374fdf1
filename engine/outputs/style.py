"""What the style of a page may say, so that what must be read can be read, by day and in the dark.

A property that is not listed is refused, and so is a value that does not have the property's one
form. No form hides, covers, cuts, shrinks, strikes out or moves away a text, or fetches anything:
sizes are plain numbers within bounds, never functions, and those of text are in rem, so that what
is in one another does not add up. Colours are the theme's inks, whose contrast was checked.
"""

import re
from collections.abc import Iterator

import tinycss2
from tinycss2.ast import AtRule, Declaration, Node, ParseError, QualifiedRule

from trimscribe.errors import Fault
from trimscribe.model.ink import COLOURS, ColourUse

# A size counts once more on `html`, whose size is the rem of all others: 0.8 times 0.8 of the
# usual 16 px are still 10 px.
_SIZE = r"(?:0?\.[89]\d*|[1-4](?:\.\d+)?)rem"
_LINE = r"[12](?:\.\d+)?"
_SPACE = r"(?:0|(?:[0-4]|[0-4]?\.\d+)(?:rem|em)|\d\d?px)"
_WIDTH = r"(?:[6-9]|\d\d)(?:\.\d+)?rem"
_TRACK = rf"(?:{_WIDTH}|minmax\({_WIDTH}, ?1fr\))"
_PLAIN = r"(?:\d?\d(?:\.\d+)?r?em|\d{1,3}px)"
_EDGE = r"(?:0|\dpx|0?\.[0-4]\d*rem|none|solid|dashed|dotted|double|var\(--[a-z-]+\))"


def _inks(use: ColourUse) -> str:
    names = (colour.token.replace("_", "-") for colour in COLOURS if colour.use is use)
    return rf"var\(--(?:{'|'.join(names)})\)"


_INK = _inks(ColourUse.TEXT)
_SHAPE = r"normal|italic|bold|[1-9]00"
# Fonts of signs would turn words into pictures.
_FONT = r"(?!.*(?:dings|dingbat|symbol))[^()\\/]+"

# Properties, the form of their values, and the form in words.
_FORMS = (
    ("color", rf"{_INK}|inherit|currentcolor", "var(--text), var(--quiet), var(--accent) …"),
    (
        "background background-color",
        rf"{_inks(ColourUse.GROUND)}|none|transparent|inherit",
        "var(--background) or var(--wash)",
    ),
    ("font-size", rf"{_SIZE}|inherit", "0.8rem to 4rem"),
    (
        "font",
        rf"(?:(?:{_SHAPE}) )*{_SIZE}(?: ?/ ?{_LINE})? {_FONT}",
        "a weight, a size from 0.8rem to 4rem, a line height from 1 to 2, and font names",
    ),
    ("font-family", _FONT, "names of fonts for text"),
    ("font-weight font-style", rf"{_SHAPE}|inherit", "normal, italic, bold or 100 to 900"),
    ("font-variant font-variant-caps font-variant-numeric", r"[a-z -]+", "words"),
    ("line-height", rf"{_LINE}|normal|inherit", "a number from 1 to 2, without a unit"),
    ("letter-spacing word-spacing", r"0|normal|0?\.[0-3]\d*(?:rem|em)", "0 to 0.3em"),
    ("white-space", "normal|nowrap|pre-line|pre-wrap", "normal, nowrap, pre-line or pre-wrap"),
    ("overflow-wrap word-break", "normal|anywhere|break-word|break-all", "where to break words"),
    ("hyphens", "none|manual|auto", "none, manual or auto"),
    ("text-align", "left|right|center|justify|start|end", "a side, center or justify"),
    ("text-wrap", "wrap|balance|pretty", "wrap, balance or pretty"),
    ("text-transform", "none|uppercase|lowercase|capitalize", "none, uppercase …"),
    ("text-decoration", "none|underline", "none or underline"),
    (
        "padding padding-top padding-right padding-bottom padding-left gap row-gap column-gap "
        "border-radius border-spacing",
        rf"{_SPACE}(?: {_SPACE}){{0,3}}",
        "lengths up to 4rem, 4em or 99px, none negative",
    ),
    (
        "margin margin-top margin-right margin-bottom margin-left",
        rf"(?:auto|{_SPACE})(?: (?:auto|{_SPACE})){{0,3}}",
        "auto, or lengths up to 4rem, 4em or 99px, none negative",
    ),
    (
        " ".join(
            f"border{edge}{part}"
            for edge in ("", "-top", "-right", "-bottom", "-left")
            for part in ("", "-width", "-style", "-color")
        ),
        rf"{_EDGE}(?: {_EDGE}){{0,3}}",
        "lengths up to 9px, solid, dashed, dotted, double, and inks such as var(--rule)",
    ),
    ("border-collapse", "collapse|separate", "collapse or separate"),
    (
        "display",
        "block|inline|inline-block|flex|grid|list-item",
        "block, inline, inline-block, flex, grid or list-item",
    ),
    ("flex", rf"\d \d (?:auto|{_WIDTH})", "two digits, and auto or a width from 6rem"),
    ("flex-wrap", "wrap", "wrap"),
    (
        "grid-template-columns",
        rf"{_TRACK}(?: {_TRACK}){{0,2}}|repeat\(auto-(?:fill|fit), ?{_TRACK}\)",
        "widths from 6rem, minmax(6rem, 1fr) or repeat(auto-fill, …)",
    ),
    # What is too wide and centred, or held at the right, begins where nobody can scroll to.
    ("justify-content", "normal|start|flex-start|space-between", "start or space-between"),
    (
        "align-items align-content align-self",
        "normal|stretch|baseline|center|start|end|flex-start|flex-end",
        "start, center, end, baseline or stretch",
    ),
    (
        "vertical-align",
        r"baseline|top|middle|bottom|-?0?\.[0-4]\d*em",
        "top, middle, bottom, baseline or less than 0.5em",
    ),
    ("box-sizing", "border-box|content-box", "border-box or content-box"),
    ("width", rf"auto|100%|{_WIDTH}", "auto, 100%, or 6rem and more"),
    ("max-width", rf"none|100%|{_WIDTH}", "none, 100%, or 6rem and more"),
    ("min-width", r"0|auto|(?:\d|1\d)(?:\.\d+)?r?em", "auto, or less than 20rem"),
    ("overflow-x", "auto|visible", "auto: what is too wide can be scrolled"),
    ("list-style list-style-type", "none|disc|circle|square|decimal", "none, disc, decimal …"),
    ("caption-side", "top|bottom", "top or bottom"),
    ("orphans widows", r"\d", "a digit"),
    ("break-before break-after break-inside", "auto|avoid|page|avoid-page", "auto, avoid or page"),
    ("stroke-linejoin stroke-linecap", "[a-z]+", "round, butt, miter …"),
)
# Pictures hold no text that must be read.
_OF_PICTURES = (
    ("width height max-width max-height", rf"auto|none|100%|{_PLAIN}", "a plain size"),
    ("object-fit", "contain|cover|fill|none|scale-down", "contain, cover …"),
)
_PICTURES = re.compile(r"(?:.*[\s>+~])?(?:img|svg)(?:\.[\w-]+)*", re.DOTALL)

_Table = dict[str, tuple[re.Pattern[str], str]]


def _table(*forms: tuple[str, str, str]) -> _Table:
    return {
        name: (re.compile(values, re.ASCII), words)
        for names, values, words in forms
        for name in names.split()
    }


_TEXT = _table(*_FORMS)
_PICTURE = _TEXT | _table(*_OF_PICTURES)


def wrong_style(text: str) -> Iterator[Fault]:
    """All that a style sheet may not say, each once."""
    yield from dict.fromkeys(_rules(tinycss2.parse_stylesheet(text, True, True)))


def _rules(nodes: list[Node]) -> Iterator[Fault]:
    for node in nodes:
        if isinstance(node, ParseError):
            yield _fault(f"The style is not CSS: {node.message}")
        elif isinstance(node, AtRule):
            if node.lower_at_keyword not in ("media", "supports") or node.content is None:
                yield _fault(f"@{node.at_keyword} is not for pages.")
            else:
                yield from _rules(tinycss2.parse_rule_list(node.content, True, True))
        elif isinstance(node, QualifiedRule):
            known = _PICTURE if _of_pictures(node) else _TEXT
            for inner in tinycss2.parse_blocks_contents(node.content, True, True):
                if isinstance(inner, Declaration):
                    yield from _declaration(inner, known)
                else:
                    yield _fault("A rule of a page holds declarations, and nothing else.")


def _of_pictures(rule: QualifiedRule) -> bool:
    """Whether a rule is about pictures alone, by the names of their elements."""
    selectors = tinycss2.serialize(rule.prelude)
    plain = "\\" not in selectors and "(" not in selectors
    return plain and all(_PICTURES.fullmatch(one.strip()) for one in selectors.split(","))


def _declaration(node: Declaration, known: _Table) -> Iterator[Fault]:
    value = " ".join(tinycss2.serialize(node.value).lower().split())
    values, words = known.get(node.lower_name, (None, ""))
    if values is None:
        message = f"The property `{node.lower_name}` is not for pages, or not for text."
        yield _fault(message, "A page sets text, boxes and tables; pictures alone have a height.")
    elif not values.fullmatch(value):
        message = f"`{node.lower_name}: {value}` can hide what must be read."
        yield _fault(message, f"`{node.lower_name}` takes {words}.")


def _fault(message: str, hint: str = "") -> Fault:
    return Fault("style-refused", message, hint=hint)
