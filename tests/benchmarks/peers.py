"""The same report set by other libraries: its text, its tables and its charts as SVG.

python tests/benchmarks/peers.py LIBRARY PIECES.pickle OUT.pdf   one report in a fresh process
"""

import base64
import html
import importlib.util
import io
import pickle
import sys
from functools import cache
from pathlib import Path
from typing import Any
from unittest import mock

from content import Piece, Rows, Words

FONTS = Path(__file__).resolve().parents[2] / "themes" / "base" / "fonts"
PEERS = ("weasyprint", "weasyprint_fonttools", "reportlab")
_CSS = """
@font-face { font-family: Inter; src: url(%s/Inter-Regular.otf) }
@font-face { font-family: Inter; font-weight: 600; src: url(%s/Inter-SemiBold.otf) }
@page { size: A4; margin: 16mm 20mm 18mm; @bottom-right { content: counter(page) } }
body { font: 9.5pt/1.4 Inter; color: #23282d; margin: 0 }
h2 { font-size: 13pt; font-weight: 600; break-after: avoid; margin: 1.2em 0 .5em }
p { margin: .5em 0 }
table { border-collapse: collapse; width: 100%%; font-size: 7.5pt }
th { font-weight: 600; text-align: left; border-bottom: .6pt solid #23282d }
td, th { padding: .15em .3em }
img { width: 100%% }
"""


def missing() -> list[str]:
    """The peers that are not installed."""
    needed = {
        "reportlab": ("reportlab", "svglib", "matplotlib"),
        "weasyprint_fonttools": ("weasyprint",),
    }
    found = importlib.util.find_spec
    return [p for p in (*PEERS, "matplotlib") if not all(map(found, needed.get(p, (p,))))]


def weasyprint_fonttools(pieces: list[Piece]) -> bytes:
    """As `weasyprint` where the system has no library that cuts fonts down: pip brings none."""
    with mock.patch("weasyprint.pdf.fonts.harfbuzz_subset", None):
        return weasyprint(pieces)


def weasyprint(pieces: list[Piece]) -> bytes:
    """As PDF/A-3a, tagged, which is what ours is."""
    from weasyprint import HTML

    fonts = FONTS.as_uri()
    parts = [f"<html lang=en><head><title>Report</title><style>{_CSS % (fonts, fonts)}</style>"]
    for piece in pieces:
        if isinstance(piece, Words):
            tag = "h2" if piece.heading else "p"
            parts.append(f"<{tag}>{html.escape(piece.text)}</{tag}>")
        elif isinstance(piece, Rows):
            head, *rows = piece.rows
            parts.append(f"<table><thead>{_row(head, 'th')}</thead>")
            parts += [_row(row, "td") for row in rows]
            parts.append("</table>")
        else:
            data = base64.b64encode(piece.svg.encode()).decode()
            alt = html.escape(piece.alt)
            parts.append(f'<img src="data:image/svg+xml;base64,{data}" alt="{alt}">')

    document = HTML(string="".join(parts))
    return document.write_pdf(font_config=_weasyprint_fonts(), pdf_variant="pdf/a-3a")


def _row(cells: tuple[str, ...], tag: str) -> str:
    return "<tr>" + "".join(f"<{tag}>{html.escape(cell)}</{tag}>" for cell in cells) + "</tr>"


@cache
def _weasyprint_fonts() -> Any:
    """Kept, as a program that makes many reports would."""
    from weasyprint.text.fonts import FontConfiguration

    return FontConfiguration()


def reportlab(pieces: list[Piece]) -> bytes:
    """With DejaVu Sans, because it embeds no fonts of Inter's format; a plain PDF."""
    from reportlab.lib.pagesizes import A4
    from reportlab.lib.styles import ParagraphStyle
    from reportlab.platypus import LongTable, Paragraph, SimpleDocTemplate, TableStyle
    from svglib.svglib import svg2rlg

    font = _reportlab_font()
    text = ParagraphStyle("text", fontName=font, fontSize=9.5, leading=13, spaceAfter=4)
    heading = ParagraphStyle("heading", parent=text, fontSize=13, leading=17, spaceBefore=8)
    ruled = TableStyle(
        [("FONT", (0, 0), (-1, -1), font, 7.5), ("LINEBELOW", (0, 0), (-1, 0), 0.6, "black")]
    )
    cell = ParagraphStyle("cell", parent=text, fontSize=7.5, leading=9)
    flow: list[Any] = []
    width = A4[0] - 113
    for piece in pieces:
        if isinstance(piece, Words):
            flow.append(Paragraph(html.escape(piece.text), heading if piece.heading else text))
        elif isinstance(piece, Rows):
            across = max(map(len, piece.rows))
            # Long texts wrap, which only a paragraph does; numbers stay plain, which is quicker.
            rows = [
                [Paragraph(html.escape(c), cell) if len(c) > 24 else c for c in row]
                + [""] * (across - len(row))
                for row in piece.rows
            ]
            flow.append(LongTable(rows, [width / across] * across, repeatRows=1, style=ruled))
        else:
            svg = piece.svg.replace("'Inter'", font)
            flow.append(svg2rlg(io.BytesIO(svg.encode())))
    out = io.BytesIO()
    SimpleDocTemplate(
        out, pagesize=A4, leftMargin=56.5, rightMargin=56.5, topMargin=45, bottomMargin=51
    ).build(flow)
    return out.getvalue()


@cache
def _reportlab_font() -> str:
    import matplotlib
    from reportlab.pdfbase.pdfmetrics import registerFont
    from reportlab.pdfbase.ttfonts import TTFont

    registerFont(TTFont("DejaVuSans", f"{matplotlib.get_data_path()}/fonts/ttf/DejaVuSans.ttf"))
    return "DejaVuSans"


if __name__ == "__main__":
    library, source, target = sys.argv[1:]
    Path(target).write_bytes(globals()[library](pickle.loads(Path(source).read_bytes())))
