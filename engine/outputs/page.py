"""What a finished page says and holds, read back as a browser would: no theme is taken on trust.

A page holds elements that show text, tables and drawings. Scripts, forms, frames and anything that
is fetched from elsewhere are refused, and so is a page that hides or lacks a required text.
"""

import re
from collections.abc import Callable, Iterator
from html.parser import HTMLParser

from trimscribe.errors import Fault, Mark
from trimscribe.outputs.groundwork import FRAME_CLASS, HEADS_CLASS
from trimscribe.outputs.style import wrong_style

HEAD = "<head>"  # what every page has is right behind it

_VOID = {"br", "hr", "img", "col", "wbr"}
_SHOWN = {
    *("html", "head", "title", "style", "body", "header", "main", "section", "article"),
    *("aside", "footer", "nav", "h1", "h2", "h3", "h4", "h5", "h6", "p", "div", "span", "strong"),
    *("em", "b", "i", "small", "br", "wbr", "hr", "ul", "ol", "li", "dl", "dt", "dd", "time", "a"),
    *("table", "caption", "colgroup", "col", "thead", "tbody", "tfoot", "tr", "th", "td"),
    *("figure", "figcaption", "img", "abbr", "svg"),
}
_DRAWN = {
    *("g", "defs", "use", "path", "rect", "circle", "ellipse", "line", "polyline"),
    *("polygon", "text", "tspan", "clippath"),
}
_TOLD = {"class", "id", "lang", "aria-label", "aria-hidden"}
_ATTRIBUTES = _TOLD | {
    "data-label",
    *("alt", "src", "href", "title", "datetime", "scope", "colspan", "span", "start", "tabindex"),
    *("aria-labelledby", "aria-describedby"),
}
_OF_DRAWINGS = _TOLD | {"viewbox", "xmlns", "xmlns:xlink", "preserveaspectratio"}
_ROLES = {"region", "group", "note", "list", "listitem"}  # whose text is read aloud
_ADDRESSES = {"href", "src"}
_IGNORED = re.compile(r"[\s\u00ad\u200b]")
_TURNING = re.compile(r"[\u200e\u200f\u202a-\u202e\u2066-\u2069]")


def read_page(
    page: str,
    required: tuple[str, ...],
    frame: str = "",
    place: Callable[[str], Mark | None] = lambda _: None,
) -> tuple[Fault, ...]:
    """Everything that is wrong with a page; empty for one that may be handed out.

    `frame` is that of the cautions, which a page holds once, as it is; `place` the template that a
    required text belongs into.
    """
    reader = _read(page)
    reader.faults += [_UNFRAMED] * (page.count(frame) != 1 or reader.frames != 1) if frame else []
    said = _squeezed(" ".join(reader.said))
    missing = [text for text in required if _squeezed(text) not in said]
    headless = [] if reader.heads == page.count(HEAD) == 1 else [_HEADLESS]
    return (
        *headless,
        *dict.fromkeys(reader.faults),
        *(_missing(text, place(text)) for text in missing),
    )


def refused_in(part: str) -> tuple[Fault, ...]:
    """What may not be in a part of a page, wherever it stands."""
    return tuple(fault for fault in _read(part).faults if fault is not _UNFRAMED)


def text_of(page: str) -> str:
    """The text that a page shows, without its title and drawings."""
    return " ".join(" ".join(_read(page).said).split())


def _read(page: str) -> "_Reader":
    reader = _Reader()
    reader.feed(page)
    reader.close()
    return reader


def _missing(text: str, template: Mark | None) -> Fault:
    return Fault(
        "required-text-missing",
        f"The finished page does not show “{text}”.",
        template,
        hint="A theme may restyle and move this text, never leave it out or hide it.",
    )


def _refused(what: str, hint: str) -> Fault:
    return Fault("page-refused", f"{what} is not for pages.", hint=hint)


_HEADLESS = Fault(
    "page-refused",
    "A page has one <head>, written like this.",
    hint="Take the frame of base: page.html.j2.",
)


_UNFRAMED = Fault(
    "page-refused",
    "The cautions are not in their place.",
    hint="The part “cautions” is printed once and as it is, right in <main> or <body>.",
)


class _Reader(HTMLParser):
    """Gathers the text that is shown, and what a page may not hold.

    Markup that browsers would have to mend is refused, so that they read a page as it is read here.
    """

    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.said: list[str] = []
        self.faults: list[Fault] = []
        self.heads = 0
        self.frames = 0
        self._style: list[str] = []
        self._open: list[tuple[str, bool]] = []  # tag, and whether what is inside is unseen

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self._look_at(tag, attrs)
        self.heads += self.get_starttag_text() == HEAD
        if FRAME_CLASS in (dict(attrs).get("class") or ""):
            self.frames += 1
            self._frame_here()
        if tag not in _VOID:
            known = dict(attrs)
            silent = tag in ("title", "style", "svg") or "aria-hidden" in known
            silent = silent or HEADS_CLASS in (known.get("class") or "")
            self._open.append((tag, silent))

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self._look_at(tag, attrs)
        if tag not in _VOID and tag not in _DRAWN:
            self.faults.append(_refused(f"<{tag}/>", f"Write <{tag}></{tag}>."))

    def _frame_here(self) -> None:
        """Only what is kept in shape may be around the frame of the cautions."""
        around = [tag for tag, _ in self._open]
        if around not in (["html", "body"], ["html", "body", "main"]):
            self.faults.append(_UNFRAMED)

    def handle_endtag(self, tag: str) -> None:
        if not self._open or self._open[-1][0] != tag:
            self.faults.append(_refused(f"</{tag}> in this place", _CLOSED))
            return
        self._open.pop()
        if tag == "style":
            self.faults += wrong_style("".join(self._style))
            self._style.clear()

    def handle_data(self, data: str) -> None:
        if self._open and self._open[-1][0] == "style":
            self._style.append(data)
        elif not any(silent for _, silent in self._open):
            self.said.append(data)
            if _TURNING.search(data):
                self.faults.append(_refused("A character that turns text around", "Leave it out."))

    def close(self) -> None:
        super().close()
        self.faults += (_refused(f"<{tag}> without its end", _CLOSED) for tag, _ in self._open)

    def handle_decl(self, decl: str) -> None:
        if decl.lower() != "doctype html":
            self.faults.append(_refused(f"<!{decl}>", "A page begins with <!doctype html>."))

    def _refuse_remark(self, data: str) -> None:
        self.faults.append(_refused("A remark", "Remarks in templates are written <# so #>."))

    # Browsers and this reader differ in where some remarks end.
    handle_comment = handle_pi = unknown_decl = _refuse_remark

    def _look_at(self, tag: str, attributes: list[tuple[str, str | None]]) -> None:
        drawing = any(open_ == "svg" for open_, _ in self._open)
        if tag not in (_DRAWN if drawing else _SHOWN):
            where = "a drawing" if drawing else "a page"
            self.faults.append(_refused(f"The element <{tag}>", f"It has no place in {where}."))
        for name, value in attributes:
            self.faults += _wrong_attribute(tag, name, value or "", drawing=drawing)


_CLOSED = "Each element is closed where it was opened, the innermost first."


def _wrong_attribute(tag: str, name: str, value: str, *, drawing: bool) -> Iterator[Fault]:
    """What is wrong with an attribute; a part of a drawing cannot leave it, and may have any."""
    if name.rpartition(":")[2] in _ADDRESSES:
        if not re.match(r"#|data:image/(?:png|svg\+xml);", value):
            yield _refused(f"The address “{value}”", "A page holds all that it needs.")
    elif name == "role":
        if value not in _ROLES and (tag, value) != ("svg", "img"):
            yield _refused(f"The role “{value}”", "It could keep a text from being read aloud.")
    elif drawing:
        if name.startswith("on"):
            yield _refused(f"The attribute {name}", "A page runs nothing.")
    elif name not in (_OF_DRAWINGS if tag == "svg" else _ATTRIBUTES):
        hint = "Write it into the page's <style>." if name == "style" else "It has no place there."
        yield _refused(f"The attribute {name} of <{tag}>", hint)


def _squeezed(text: str) -> str:
    return _IGNORED.sub("", text)
