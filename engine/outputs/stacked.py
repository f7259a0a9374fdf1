"""Tables on a narrow screen: cells one below another with their labels, so that none is cut off.

A theme cannot hide or place anything (`trimscribe.outputs.style`), so these rules are ours. They
are about tables of the class `stacked`: each cell shows its `data-label`, and their head, of the
class `HEADS_CLASS`, is taken off the screen but still read aloud. So what is in such a head does
not count as shown. The table of every line (`sides-2`, `sides-4`: cells a side) keeps its head in
sight, and each line takes two or three rows of it.
"""

HEADS_CLASS = "trimscribe-heads"
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
STACKED_STYLE = f"@media screen and (max-width:33.9rem){{{_LISTING}{_LINES}}}"
