"""Whether a report can be made with a look: complete, legible, nothing required left out.

What is reported here stops a report. `trimscribe.compose.lint` says more, to those who write
themes.
"""

from collections.abc import Iterator, Sequence

from trimscribe.colour import contrast
from trimscribe.compose.glyphs import broken, families
from trimscribe.compose.label_overrides import wrong_wording
from trimscribe.compose.look import REQUIRED_SECTIONS, Look
from trimscribe.errors import Fault, Mark
from trimscribe.hints import suggest
from trimscribe.model.ink import COLOURS, ColourUse
from trimscribe.registry import Registry
from trimscribe.schemas.theme import TokensSchema

# On the background; WCAG 2.2: 1.4.3 for text, 1.4.11 for graphics.
_LEAST_CONTRAST = {ColourUse.TEXT: 4.5, ColourUse.DRAWING: 3.0}
_TOKENS = frozenset(TokensSchema().fields)
_FRAME = ("main", "kit")  # templates of what is around and in all sections
_SMALLEST_PT = 8.0  # body text below this is no longer read on paper


def unfit(look: Look, registry: Registry) -> Sequence[Fault]:
    """All that is wrong; what needs tokens is only looked at when they are all there."""
    return [*_incomplete(look), *_sectionless(look, registry), *wrong_wording(look)] or [
        *_fontless(look),
        *_unreadable(look),
    ]


def _incomplete(look: Look) -> Iterator[Fault]:
    theme = look.chain[0]
    for name in sorted(_TOKENS - look.tokens.keys()):
        yield Fault(
            "theme-lacks-token",
            f"Nothing in {look.theme_chain} sets `{name}`.",
            theme.file.marks.get(("tokens",), Mark(theme.shown)),
            "Write `extends: base` to take what is missing from there.",
        )


def _sectionless(look: Look, registry: Registry) -> Iterator[Fault]:
    """Sections that must be there and are not, and those that nobody knows how to make."""
    holder = next((f for f in look.chain if f.file.sections), look.chain[0])
    for name in REQUIRED_SECTIONS:
        if name not in look.sections:
            yield Fault(
                "theme-lacks-section",
                f"{look.theme_chain} leaves out the section “{name}”, "
                "which every report must have.",
                holder.file.marks.get(("sections",), Mark(holder.shown)),
                f"Add {name} to `sections`; it may be anywhere.",
            )
    known = registry.names("sections")
    for number, name in enumerate(look.sections):
        if name in look.sections[:number]:
            message = f"The section “{name}” occurs twice in `sections`."
            mark = look.section_marks.get(name)
            yield Fault("section-twice", message, mark, "Delete one of the two.")
        elif name in _FRAME:
            message = f"The template {name}.typ.j2 is no section: the others are made with it."
            hint = "Leave it out of `sections`."
            yield Fault("section-unknown", message, look.section_marks.get(name), hint)
        elif name not in known and not look.templates.has(f"{name}.typ.j2"):
            yield Fault(
                "section-unknown",
                f"There is no section “{name}”, "
                f"and no template {name}.typ.j2 in {look.theme_chain}.",
                look.section_marks.get(name),
                suggest(name, known),
            )


def _fontless(look: Look) -> Iterator[Fault]:
    if bad := broken(look.fonts):
        message = f"These font files of {look.theme_chain} cannot be read: {', '.join(bad)}."
        yield Fault("font-broken", message, hint="Copy them again from their source.")
    known = families(look.fonts)
    for name in ("font", "font_drawings"):
        if look.tokens[name] not in known:
            yield Fault(
                "font-missing",
                f"No font file of {look.theme_chain} belongs to the family “{look.tokens[name]}”.",
                look.origins[name].mark,
                f"Put it into the folder fonts, or use {' or '.join(sorted(known))}.",
            )


def _unreadable(look: Look) -> Iterator[Fault]:
    background = look.tokens["background"]
    for colour in COLOURS:
        name, least = colour.token, _LEAST_CONTRAST.get(colour.use, 0.0)
        ratio = contrast(look.tokens[name], background)
        if ratio < least:
            yield Fault(
                "contrast-too-low",
                f"`{name}` {look.tokens[name]} on {background} has a contrast of {ratio:.1f}; "
                f"{least:g} is the least that people can read ({look.theme_chain}).",
                look.origins[name].mark,
                "Choose a darker colour, or a lighter one on a dark page.",
            )
    if look.tokens["size_pt"] < _SMALLEST_PT:
        yield Fault(
            "text-too-small",
            f"`size_pt` is {look.tokens['size_pt']:g}; the least is {_SMALLEST_PT:g}.",
            look.origins["size_pt"].mark,
        )
