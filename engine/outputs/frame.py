"""The cautions on a page: in a frame of ours, where no style of a theme gets at them.

Its rules lie in a layer before all others and are important: by the cascade (CSS Cascading and
Inheritance Level 5, 6.1) nothing that a theme writes goes before them. On a phone the elements
around it keep it within the screen. Browsers from before 2022 know no layers and show the frame in
the theme's style, which is held to `trimscribe.outputs.style`.
"""

from collections.abc import Mapping
from typing import Any

from trimscribe.templating import Markup

FRAME_CLASS = "trimscribe-cautions"
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
    ),
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
FRAME_STYLE = f"@layer trimscribe{{{_AROUND}@media (max-width:48rem){{{_ON_A_PHONE}}}{_WITHIN}}}"
