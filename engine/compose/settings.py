"""Everything that makes up the look of a job's reports, part by part, with who set it."""

from collections.abc import Iterator

from trimscribe.compose.look import TokenSource
from trimscribe.compose.themes import brand_origin, resolve
from trimscribe.model.job import Reading
from trimscribe.model.setting import Setting
from trimscribe.model.workshop import InputFile, Workshop
from trimscribe.registry import Registry

# What a workshop says that is not a token: how the report is written, and what is its own.
_WRITING = ("date_format", "number_format", "speed_unit")
_OWN = ("add_sections", "language", "logo", "signature", "footer", "terms")
_LONGEST = 60


def settings_of(reading: Reading | None, theme: str, registry: Registry) -> tuple[Setting, ...]:
    """The tokens in alphabetical order, the sections, then what is not a token.

    Without a job, those of the theme alone. Raises ThemeError.
    """
    workshop = reading.job.workshop if reading else Workshop("")
    marks = reading.marks if reading else {}
    look = resolve(theme, workshop, registry, marks)
    tokens = [
        Setting(name, _shown(look.tokens[name]), origin.source, origin.theme, origin.mark)
        for name, origin in sorted(look.origins.items())
    ]
    holder = next(folder for folder in look.chain if folder.file.sections)
    source = {look.chain[0]: TokenSource.THEME}.get(holder, TokenSource.PARENT)
    source = TokenSource.BASE if holder.file.name == "base" else source
    sections = Setting(
        "sections",
        ", ".join(look.sections),
        source,
        holder.file.name,
        holder.file.marks.get(("sections",)),
    )
    return (*tokens, sections, *(_own(reading) if reading else ()))


def _own(reading: Reading) -> Iterator[Setting]:
    workshop, marks = reading.job.workshop, reading.marks
    values = {name: getattr(workshop, name) for name in _OWN}
    values |= {name: getattr(workshop.writing, name) for name in _WRITING}
    for name, value in sorted(values.items()):
        if value:
            origin = brand_origin(name, marks)
            yield Setting(name, _shown(value), origin.source, mark=origin.mark)
        elif name in _WRITING:
            yield Setting(name, "as usual", "language")


def _shown(value: object) -> str:
    if isinstance(value, tuple):
        value = ", ".join(f"{name} after {other}" for name, other in value)
    if isinstance(value, InputFile):
        return value.name
    text = f"{value:g}" if isinstance(value, float) else " ".join(str(value).split())
    return text if len(text) <= _LONGEST else f"{text[: _LONGEST - 1]}…"
