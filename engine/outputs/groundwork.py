"""What is ours on every page, under any theme: a frame for the cautions, tables on narrow screens.

A theme cannot hide or place anything (`trimscribe.outputs.style`), so these rules are ours. Those
of the frame lie in a layer before all others and are important: by the cascade (CSS Cascading and
Inheritance Level 5, 6.1) nothing that a theme writes goes before them. On a phone the elements
around it keep it within the screen. Browsers from before 2022 know no layers and show the frame in
the theme's style.

Tables of the class `stacked` have their cells one below another, so that none is cut off: each cell
shows its `data-label`, and their head, of the class `HEADS_CLASS`, is taken off the screen but
still read aloud. So what is in such a head does not count as shown. The table of every line
(`sides-2`, `sides-4`: cells a side) keeps its head in sight, and each line takes two or three rows
of it.
"""

from collections.abc import Mapping
from typing import Any

from trimscribe.templating import Markup

FRAME_CLASS = "trimscribe-cautions"
HEADS_CLASS = "trimscribe-heads"
_MARK = (
    '<svg viewBox="0 0 16 16" aria-hidden="true">'
    '<path d="M8 1 16 15H0z" fill="var(--outside)"/></svg> '
)


def cautions_frame(values: Mapping[str, Any]) -> Markup:
    """The frame with its title and cautions; `values` are those of the section."""
    cautions = "".join(
        Markup("\n<p>{}<strong>{}.</strong> {}</p>").format(
            Markup(_MARK if caution["warning"] else ""), caution["title"], caution["text"]
        )
        for caution in values["cautions"]
    )
    return Markup('<section class="{}">\n<h2>{}</h2>{}\n</section>').format(
        FRAME_CLASS, values["title"], Markup(cautions)
    )


def _rules(*rules: tuple[str, str]) -> str:
    """Each declaration important."""
    return "".join(
        f"{selector}{{{';'.join(f'{one.strip()}!important' for one in said.split(';'))}}}"
        for selector, said in rules
    )


_F = f".{FRAME_CLASS}"
_INHERITED = (
    "font:inherit;color:inherit;letter-spacing:normal;word-spacing:normal;text-transform:none"
)
_AROUND = _rules(
    (
        "html,body,main",
        "display:block;width:auto;min-width:0;overflow:visible;white-space:normal;text-align:start",
    )
)
_ON_A_PHONE = _rules(
    ("html,body,main", "max-width:none;margin-left:0;margin-right:0;border:0"),
    ("html,main", "padding-left:0;padding-right:0"),
    ("body", "padding-left:16px;padding-right:16px"),
)
_WITHIN = _rules(
    (f"{_F},{_F} *", "all:initial"),
    (
        _F,
        "display:block;box-sizing:border-box;max-width:672px;min-width:min(288px,100%);"
        "margin:40px auto;padding:18px 19px 6px;border:2px solid var(--text);border-radius:10px;"
        "background:var(--background);color:var(--text);font:16px/1.5 system-ui,sans-serif;"
        "overflow-wrap:anywhere;break-inside:avoid",
    ),
    (f"{_F} h2,{_F} p,{_F} strong", f"{_INHERITED};overflow-wrap:inherit"),
    (f"{_F} h2", "display:block;margin:0 0 13px;font-size:20px;line-height:1.3;font-weight:700"),
    (f"{_F} p", "display:block;margin:0 0 14px"),
    (f"{_F} strong", "font-weight:700"),
    (f"{_F} svg", "display:inline-block;width:13px;height:13px;vertical-align:-1px"),
    (f"{_F} path", 'd:path("M8 1 16 15H0z");fill:var(--outside)'),
    (f"{_F} ::first-letter,{_F} ::first-line", _INHERITED),
)
_FRAME = f"@layer trimscribe{{{_AROUND}@media (max-width:48rem){{{_ON_A_PHONE}}}{_WITHIN}}}"

_OFF_SCREEN = "position:absolute;width:1px;height:1px;overflow:hidden;clip-path:inset(50%)"
_LISTING = (
    "table.stacked,.stacked tbody{display:block}"
    f".stacked .{HEADS_CLASS}{{{_OFF_SCREEN}}}"
    ".stacked tbody tr{display:grid;grid-template-columns:repeat(3,minmax(0,1fr));gap:.2rem .6rem;"
    "padding:.5rem 0;border-bottom:1px solid var(--rule)}"
    ".stacked tbody tr th,.stacked tbody tr td{display:block;min-width:0;padding:0;border:0;"
    "text-align:left;white-space:normal;overflow-wrap:anywhere}"
    ".stacked tbody tr th{font-weight:600}"
    ".stacked [data-label]::before{content:attr(data-label);display:block;font-weight:400;"
    "font-size:.8125rem;line-height:1.3;color:var(--quiet)}"
)
_LINES = (
    f"table.lines.stacked .{HEADS_CLASS}{{display:block;position:sticky;top:0;width:auto;"
    "height:auto;overflow:visible;clip-path:none;background:var(--background);"
    "border-bottom:1px solid var(--text)}"
    "table.lines.stacked tr{display:grid;gap:.1rem .5rem;padding:.3rem 0;border:0}"
    "table.lines.stacked.sides-4 tr{grid-template-columns:minmax(0,25fr) minmax(0,18fr) "
    "repeat(2,minmax(0,24fr))}"
    "table.lines.stacked.sides-2 tr{grid-template-columns:repeat(2,minmax(0,11fr) minmax(0,10fr))}"
    "table.lines.stacked tr th,table.lines.stacked tr td{padding:0;border:0;text-align:right}"
    "table.lines.stacked tbody tr th{text-align:left}"
    "table.lines.stacked tbody tr th+td{grid-column:2/-1;text-align:left}"
    # Of the head stay the words over the columns; a line's right side is below its left.
    f".lines.stacked .{HEADS_CLASS} tr:first-child,"
    f".lines.stacked .{HEADS_CLASS} th:nth-child(-n+2),"
    f".lines.stacked.sides-4 .{HEADS_CLASS} th:nth-child(n+7){{{_OFF_SCREEN}}}"
    ".lines.stacked [data-label]::before{display:inline;margin-right:.5em}"
    ".lines.stacked td+[data-label]::before{float:left}"
)
_STACKED = f"@media screen and (max-width:33.9rem){{{_LISTING}{_LINES}}}"

# Browsers shrink these, and the more the deeper they are nested; and a row that does not wrap can
# squeeze a text to nothing.
_PLAIN = "h1,h2,h3,h4,h5,h6,small{font-size:1rem}*{flex-wrap:wrap}"
GROUNDWORK = f"{_FRAME}{_PLAIN}{_STACKED}"  # what is before every theme's style
