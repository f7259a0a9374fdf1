"""Every theme × every example × both papers, all pages side by side, as one HTML page to look at.

    python tests/gallery.py                 writes out/gallery.html
    python tests/gallery.py linden bench    only these themes

Needs an environment with the package and its `dev` extra, as `tests/run.py` makes one.
"""

import base64
import functools
import html
import io
import sys
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import pypdfium2
from PIL import Image

from trimscribe.compose.document import compose
from trimscribe.model.document import Content, Document
from trimscribe.model.report import Report
from trimscribe.pipeline import prepare
from trimscribe.registry import Registry
from trimscribe.themes import base
from trimscribe.typeset.pdf import output
from trimscribe.world import World

ROOT = Path(__file__).resolve().parents[1]
THEMES = sorted(path.parent.name for path in Path(base.folder).parent.glob("*/theme.yaml"))
EXAMPLES = (
    "demo",
    "two-row",
    "four-row",
    "inspection",
    "outside",
    "part-remeasured",
    "planned",
    "planned-done",
)
PAPERS = ("a4", "us-letter")

_REGISTRY = Registry.installed()
_WORLD = World({"trimscribe": "1.2.3"})  # the same pages whatever is installed
_GAP = 4  # pixels between pages


@dataclass(frozen=True)
class Picture:
    """One report: what it is of, and its pages from left to right."""

    theme: str
    example: str
    paper: str
    image: Image.Image


@functools.cache
def _content(example: str) -> Content:
    return prepare(ROOT / "examples" / f"{example}.yaml", _REGISTRY)


@functools.cache
def report(theme: str, example: str, paper: str) -> tuple[Document, Report]:
    """An example as it is composed and set in a theme on a paper."""
    content = _content(example)
    job = content.reading.job
    job = replace(job, workshop=replace(job.workshop, paper=paper))
    content = replace(content, reading=replace(content.reading, job=job))
    document = compose(content, _REGISTRY, _WORLD, theme)
    return document, output.make(document)


def picture(theme: str, example: str, paper: str, scale: float) -> Picture:
    """Draw one report; `scale` is in pixels a point."""
    pdf = pypdfium2.PdfDocument(report(theme, example, paper)[1].data)
    pages = [page.render(scale=scale).to_pil().convert("RGB") for page in pdf]
    pdf.close()
    width, height = pages[0].size
    strip = Image.new("RGB", (len(pages) * (width + _GAP) - _GAP, height), "#777777")
    for number, page in enumerate(pages):
        strip.paste(page, (number * (width + _GAP), 0))
    return Picture(theme, example, paper, strip)


def gallery(themes: Sequence[str], scale: float) -> Iterator[Picture]:
    """All reports in some themes."""
    for theme in themes:
        for paper in PAPERS:
            for example in EXAMPLES:
                yield picture(theme, example, paper, scale)


def sheet(pictures: Iterator[Picture]) -> str:
    """One HTML page that needs no other file."""
    parts = [
        "<!doctype html><html lang=en><meta charset=utf-8><title>Gallery</title>",
        "<style>body{font:14px sans-serif;background:#555;color:#fff;margin:2em}",
        "img{max-width:100%;display:block;margin:.4em 0 2em}</style>",
    ]
    for shown in pictures:
        title = html.escape(f"{shown.theme} · {shown.example} · {shown.paper}")
        data = io.BytesIO()
        shown.image.save(data, "PNG")
        source = base64.b64encode(data.getvalue()).decode()
        parts.append(f'<h2>{title}</h2><img alt="{title}" src="data:image/png;base64,{source}">')
    return "\n".join(parts)


if __name__ == "__main__":
    target = ROOT / "out" / "gallery.html"
    target.parent.mkdir(exist_ok=True)
    target.write_text(sheet(gallery(sys.argv[1:] or THEMES, 0.8)), encoding="utf-8")
    print(target)
