"""What a finished page says and holds, read back as a browser would: no theme is taken on trust.

A page holds elements that show text, tables and drawings. Scripts, forms, frames and anything that
is fetched from elsewhere are refused, and so is a page that hides or lacks a required text.
"""

import re
from collections.abc import Iterator
from html.parser import HTMLParser

from trimscribe.errors import Fault
from trimscribe.outputs.style import wrong_style

__all__ = ["HEAD", "read_page", "text_of"]

HEAD = "<head>"  # what every page has stands right behind it

_VOID = {"meta", "br", "hr", "img", "col", "wbr"}
_SHOWN = {
    *("html", "head", "title", "meta", "style", "body", "header", "main", "section", "article"),
    *("aside", "footer", "nav", "h1", "h2", "h3", "h4", "h5", "h6", "p", "div", "span", "strong"),
    *("em", "b", "i", "small", "br", "wbr", "hr", "ul", "ol", "li", "dl", "dt", "dd", "time", "a"),
    *("table", "caption", "colgroup", "col", "thead", "tbody", "tfoot", "tr", "th", "td"),
    *("figure", "figcaption", "img", "abbr"),
    *("svg", "g", "defs", "use", "path", "rect", "circle", "ellipse", "line", "polyline"),
    *("polygon", "text", "tspan", "clippath"),
}
_ADDRESSES = {"href", "src"}
_REFUSED = {"hidden", "inert", "srcset", "http-equiv", "ping", "background", "popover"}
_IGNORED = re.compile(r"[\s\u00ad\u200b]")


def read_page(page: str, required: tuple[str, ...]) -> tuple[Fault, ...]:
    """Everything that is wrong with a page; empty for one that may be handed out."""
    reader = _read(page)
    said = _squeezed(" ".join(reader.said))
    missing = [text for text in required if _squeezed(text) not in said]
    headless = [] if page.count(HEAD) == 1 else [_HEADLESS]
    return (*headless, *dict.fromkeys(reader.faults), *map(_missing, missing))


def text_of(page: str) -> str:
    """The text that a page shows, without its title and drawings."""
    return " ".join(" ".join(_read(page).said).split())


def _read(page: str) -> "_Reader":
    reader = _Reader()
    reader.feed(page)
    reader.close()
    return reader


def _missing(text: str) -> Fault:
    return Fault(
        "required-text-missing",
        f"The finished page does not show “{text}”.",
        hint="A theme may restyle and move this text, never leave it out or hide it.",
    )


def _refused(what: str, hint: str) -> Fault:
    return Fault("page-refused", f"{what} is not for pages.", hint=hint)


_HEADLESS = Fault(
    "page-refused",
    "A page has one <head>, written like this.",
    hint="Take the frame of base: page.html.j2.",
)


class _Reader(HTMLParser):
    """Gathers the text that is shown, and what a page may not hold."""

    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.said: list[str] = []
        self.faults: list[Fault] = []
        self._open: list[tuple[str, bool]] = []  # tag, and whether what is inside is unseen

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.faults += _wrong(tag, attrs)
        if tag not in _VOID:
            silent = tag in ("title", "style", "svg") or ("aria-hidden", "true") in attrs
            self._open.append((tag, silent))

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.faults += _wrong(tag, attrs)

    def handle_endtag(self, tag: str) -> None:
        while self._open and any(open_ == tag for open_, _ in self._open):
            if self._open.pop()[0] == tag:
                break

    def handle_data(self, data: str) -> None:
        if self._open and self._open[-1][0] == "style":
            self.faults += wrong_style(data)
        elif not any(silent for _, silent in self._open):
            self.said.append(data)

    def handle_comment(self, data: str) -> None:
        pass  # shows nothing and does nothing


def _wrong(tag: str, attributes: list[tuple[str, str | None]]) -> Iterator[Fault]:
    if tag not in _SHOWN:
        yield _refused(f"The element <{tag}>", "A page shows text, tables and drawings.")
    for name, value in attributes:
        name = name.rpartition(":")[2]
        if name in _REFUSED or name.startswith("on"):
            yield _refused(f"The attribute {name}", "A page hides nothing and runs nothing.")
        elif name in _ADDRESSES and not re.match(r"#|data:image/(?:png|svg\+xml);", value or ""):
            yield _refused(f"The address “{value}”", "A page holds all that it needs.")
        elif name == "style" and tag not in _DRAWN:
            yield _refused("The attribute style", "Write it into the page's <style>.")


# Elements of drawings carry their own style: it is the figure's, not the theme's.
_DRAWN = {"svg", "g", "use", "path", "rect", "circle", "ellipse", "line", "text", "tspan"}


def _squeezed(text: str) -> str:
    return _IGNORED.sub("", text)
