"""A finished report as lines of text, and the pairs of the table that it holds both of."""

import html
import json
import re
from collections.abc import Iterable, Iterator
from typing import Any

from contradictions import PAIRS, Pair

from trimscribe.compose import compose
from trimscribe.model.document import Content, Document
from trimscribe.registry import Registry
from trimscribe.world import World

__all__ = ["clashes", "lines_of", "lines_of_report", "pages_of"]

_TAG = re.compile(r"<style.*?</style>|<[^>]+>", re.DOTALL)


def lines_of_report(content: Content, registry: Registry, world: World) -> list[str]:
    """All lines of one report: what it says and draws, the page for the phone, the record."""
    document = compose(content, registry, world)
    return [*lines_of(content), *_figures(document), *pages_of(document, registry)]


def lines_of(content: Content) -> Iterator[str]:
    """Facts, claims, strip and sentences."""
    for name, value in content.assessment.facts.items():
        if value:
            yield f"fact {name}"
    for claim in content.assessment.claims:
        yield (
            f"claim {claim.subject.value} {claim.when.value} "
            f"{claim.status.value} {claim.direction} {claim.verdict.value}"
        )
    said = content.statements
    for group in said.verdicts:
        yield f"strip {group.key} {group.verdict.value} | {group.words}"
    for one in (*said.sentences, *said.cautions):
        title = f"{one.title}. " if one.title else ""
        yield f"rule {one.rule} | {_plain(title + one.text)}"


def _figures(document: Document) -> Iterator[str]:
    for part in document.shown.parts:
        for name in part.figures:
            if figure := document.shown.studio.draw(name, 262.0):
                drawn = " ".join(re.findall(r"<text[^>]*>([^<]*)", figure.svg))
                words = f"{figure.alt} {figure.caption} {html.unescape(drawn)}"
                yield f"figure {name} | {_plain(words)}"


def pages_of(
    document: Document, registry: Registry, names: Iterable[str] = ("html", "json")
) -> Iterator[str]:
    """The text of finished outputs, a line each."""
    for name in names:
        data = registry.get("outputs", name).make(document).data
        if name == "json":
            yield f"page json | {_plain(' '.join(_texts(json.loads(data))))}"
        elif name == "html":
            yield f"page html | {_plain(html.unescape(_TAG.sub(' ', data.decode())))}"
        elif name == "pdf":
            from trimscribe.typeset.text import pdf_pages

            yield f"page pdf | {_plain(' '.join(pdf_pages(data)))}"
        else:
            raise KeyError(name)


def _texts(record: Any) -> Iterator[str]:
    """Sentences and words of the strip, as the record holds them."""
    for one in (*record["statements"], *record["cautions"]):
        yield f"{one.get('title', '')} {one['text']}"
    for group in record["verdicts"]:
        yield f"{group['label']}: {group['words']}."


def _plain(text: str) -> str:
    return " ".join(text.replace("\u00a0", " ").split())


def clashes(lines: Iterable[str], pairs: Iterable[Pair] = PAIRS) -> list[tuple[Pair, str, str]]:
    """Each pair of which the lines hold both, with the lines."""
    known = list(dict.fromkeys(lines))
    found = []
    for pair in pairs:
        one = next((x for x in known if re.search(pair.one, x)), None)
        other = one and next((x for x in known if re.search(pair.other, x)), None)
        if one and other:
            found.append((pair, one, other))
    return found
