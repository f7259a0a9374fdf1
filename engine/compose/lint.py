"""What there is to know of a theme beyond what stops a report: what is worth mending, what it says.

What it says in its own words is for a workshop to read before it uses a stranger's theme. It is
looked for in two ways: finished pages are searched for words that no value has brought there, and
the theme's files for words that they may bring under some condition.
"""

import html
import re
from collections.abc import Iterable, Iterator
from dataclasses import replace
from itertools import combinations
from typing import Any

from trimscribe.colour import VISIONS, difference, lightness, seen_with
from trimscribe.compose.glyphs import uncovered
from trimscribe.compose.templates import OF_SECTION
from trimscribe.compose.theme_files import ThemeFolder
from trimscribe.compose.themes import Look, of_sections, resolve
from trimscribe.errors import Fault, Mark, Severity, suggest
from trimscribe.model.document import texts_in
from trimscribe.model.workshop import Workshop
from trimscribe.registry import Registry

_CHARTS = ("before", "after", "outside")  # colours that are side by side in every chart
# Judgement: twice what is just noticed in grey, and about nine times in colour, because marks are
# small. Marks differ in shape as well.
_LEAST_GREY, _LEAST_COLOUR = 5.0, 20.0
_LARGE_ASSET = 300_000  # bytes that every single report would carry
# Letters in which names of pilots and places are written: Latin with its neighbours, Greek,
# Cyrillic.
_NAMES = (
    "ÀÁÂÃÄÅÆÇÈÉÊËÌÍÎÏÐÑÒÓÔÕÖØÙÚÛÜÝÞßàáâãäåæçèéêëìíîïðñòóôõöøùúûüýþÿĀāĂăĄąĆćČčĎďĐđĒēĘęĚěĞğĢģĪīĮįİı"
    "ĶķĹĺĻļĽľŁłŃńŅņŇňŌōŐőŒœŔŕŘřŚśŞşŠšȘșŢţŤťȚțŪūŮůŰűŲųŹźŻżŽž"
    "ΑΒΓΔΕΖΗΘΙΚΛΜΝΞΟΠΡΣΤΥΦΧΨΩαβγδεζηθικλμνξοπρσςτυφχψωΆΈΉΊΌΎΏάέήίόύώϊϋΐΰ"
    "АБВГДЕЖЗИЙКЛМНОПРСТУФХЦЧШЩЪЫЬЭЮЯабвгдежзийклмнопрстуфхцчшщъыьэюяЁёЄєІіЇїҐґЂђЈјЉљЊњЋћЏџЎў"
)
_PLAIN_FILES = re.compile(r"theme\.yaml|__init__\.py|(?:fonts/)?[^/]*\.(?:txt|md)")
_EXTENDS = re.compile(r"<%-?\s*extends\s+[\"']([^\"']+)[\"']")
_BLOCK = re.compile(r"<%[-+]?\s*block\s+(\w+)")
_END_BLOCK = re.compile(r"<%[-+]?\s*endblock")
_IMAGE = re.compile(r"\bimage\(")
# Of what a theme says in its own words.
_WORD = re.compile(r"[^\W\d_]{2,}")
_SVG_TEXT = re.compile(r"<text\b[^>]*>(.*?)</text>", re.DOTALL)
_TAG = re.compile(r"<[^>]*>")
_HALF = 0.5  # of a word's letters: where known texts brought no more, it is the theme's own
_NO_WORD = 12  # letters and figures; such a thing is a number or a hash, or as good as a sentence
_REMARK = re.compile(r"<#.*?#>|^\s*//.*$", re.DOTALL | re.MULTILINE)
_STATEMENT = re.compile(r"<%.*?%>", re.DOTALL)
_STYLE = re.compile(r"<style>.*?</style>", re.DOTALL)
_QUOTED = re.compile(r'"([^"\n]*)"|\'([^\'\n]*)\'|\[([^\[\]"\n]*)\]')
_SHOWN = re.compile(r">([^<>]*)<")
_LINE = re.compile(r"^(.*)$", re.MULTILINE)
_CODE = re.compile(r"[{}()#+<>=;:|]")


def lint(theme: str, registry: Registry) -> tuple[Look, tuple[Fault, ...]]:
    """The look of a theme and warnings about it; raises ThemeError for what stops a report."""
    look = resolve(theme, Workshop(""), registry)
    warnings = [
        *_alike(look),
        *_letters(look, registry),
        *_unused(look),
        *_pictures(look),
        *_blocks(look, registry),
    ]
    return look, tuple(warnings)


def _warning(code: str, message: str, mark: Mark | None, hint: str = "") -> Fault:
    return Fault(code, message, mark, hint, Severity.WARNING)


def _alike(look: Look) -> Iterator[Fault]:
    """Colours of the charts that run into each other, in grey or for another colour vision."""
    for one, other in combinations(_CHARTS, 2):
        pair = f"`{one}` {look.tokens[one]} and `{other}` {look.tokens[other]} ({look.theme_chain})"
        mark = look.origins[other].mark or look.origins[one].mark
        first, second = look.tokens[one], look.tokens[other]
        if abs(lightness(first) - lightness(second)) < _LEAST_GREY:
            hint = "Make one of them lighter or darker."
            yield _warning("colours-alike", f"{pair} are the same grey in print.", mark, hint)
        for vision in VISIONS:
            if difference(seen_with(vision, first), seen_with(vision, second)) < _LEAST_COLOUR:
                message = f"{pair} look alike to people with {vision}."
                yield _warning("colours-alike", message, mark, "Set them apart in lightness.")


def _letters(look: Look, registry: Registry) -> Iterator[Fault]:
    """Signs that no font of the theme has, of a language's own words and of names."""
    for language in registry.all("languages"):
        files = sorted(language.folder.glob("*.yaml"))
        text = "".join(path.read_text(encoding="utf-8") for path in files)
        if lost := uncovered(text, look.fonts):
            message = (
                f"No font of {look.theme_chain} has “{lost}”, "
                f"which {language.name} is written with."
            )
            yield _warning("letters-missing", message, look.origins["font"].mark)
    if lost := uncovered(_NAMES, look.fonts):
        message = f"No font of {look.theme_chain} has “{lost}”, which names are written with."
        hint = "A report with such a name stops. Add a font that has them to the folder fonts."
        yield _warning("letters-missing", message, look.origins["font"].mark, hint)


def _unused(look: Look) -> Iterator[Fault]:
    """Files of the theme itself that no report would ever need."""
    theme = look.chain[0]
    said = "\n".join(text for folder in look.chain for text in folder.templates.values())
    names = {*look.sections, "bench_sheet", "kit", "main", "page"}
    sections = {f"{name}{suffix}" for name in names for suffix in (".typ.j2", ".html.j2")}
    sections -= {"cautions.html.j2"}  # on the page they have a frame that is not the theme's
    for name in theme.files:
        top, _, inner = name.partition("/")
        known = (
            _PLAIN_FILES.fullmatch(name)
            or "__pycache__" in name
            or (top == "templates" and (inner in sections or inner in said))
            or (top == "assets" and inner in theme.assets and f"assets/{inner}" in said)
            or (top == "fonts" and inner.lower().endswith((".otf", ".ttf")))
        )
        if not known:
            message = f"Nothing in {look.theme_chain} uses this file."
            yield _warning("file-unused", message, Mark(f"{theme.shown}/{name}"), "Delete it.")


def _blocks(look: Look, registry: Registry) -> Iterator[Fault]:
    """Blocks of the theme that no template above it has: nothing ever shows them."""
    theme, parents = look.chain[0], [folder.templates for folder in look.chain[1:]]
    for name, text in theme.templates.items():
        extended = _EXTENDS.search(text)
        if not extended:
            continue
        holder, _, wanted = extended[1].rpartition(":")
        brought = of_sections([holder.removeprefix(OF_SECTION)], registry)
        above = [*parents, *(dict(templates) for _, _, templates in brought)]
        known = {block[1] for texts in above for block in _BLOCK.finditer(texts.get(wanted, ""))}
        for block in _BLOCK.finditer(text) if known else ():
            # A block within one that is known is the theme's own.
            if block[1] not in known and not _within_a_block(text[: block.start()]):
                message = f"“{wanted}” has no block `{block[1]}`: this is never shown."
                hint = suggest(block[1], sorted(known))
                mark = replace(_at(theme, name, block), width=len(block[0]))
                yield _warning("block-unknown", message, mark, hint)


def _within_a_block(before: str) -> bool:
    return len(_BLOCK.findall(before)) > len(_END_BLOCK.findall(before))


def _pictures(look: Look) -> Iterator[Fault]:
    """Pictures that say nothing to those who cannot see them, or that weigh on every report."""
    theme = look.chain[0]
    for name, text in theme.templates.items():
        for found in _IMAGE.finditer(text):
            if not re.search(r"\balt\s*:", _call(text, found.end())):
                yield _warning("alt-missing", "This picture has no `alt`.", _at(theme, name, found))
    for name, data in theme.assets.items():
        if len(data) > _LARGE_ASSET:
            message = f"This picture makes every report {len(data) // 1000:,} kB larger."
            mark = Mark(f"{theme.shown}/assets/{name}")
            yield _warning("picture-heavy", message, mark, "Save it smaller.")


def _call(text: str, start: int) -> str:
    """What is between the brackets of a call that opens before `start`."""
    depth = 1
    for end in range(start, len(text)):
        depth += {"(": 1, ")": -1}.get(text[end], 0)
        if not depth:
            return text[start:end]
    return text[start:]


def _at(theme: ThemeFolder, name: str, found: re.Match[str]) -> Mark:
    before = found.string[: found.start()]
    line = before.count("\n") + 1
    column = found.start() - (before.rfind("\n") + 1) + 1
    source = found.string.splitlines()[line - 1]
    return Mark(f"{theme.shown}/templates/{name}", line, column, len("image"), source)


def written(look: Look) -> Iterator[str]:
    """Texts of two words and more in the files of a theme and its parents, base left out."""
    for folder in look.chain:
        if folder.file.name != "base":
            for texts in (*folder.file.wording.values(), *folder.file.phrases.values()):
                yield from texts.values()
            for name, template in folder.templates.items():
                if name != "style.html.j2":
                    yield from _in_template(template, _SHOWN if ".html" in name else _QUOTED)


def base_words(look: Look) -> Iterator[str]:
    """Texts of the base theme's own templates, which are ours."""
    for template in look.chain[-1].templates.values():
        for found in _QUOTED.finditer(template):
            yield from (text.replace("\\n", " ") for text in found.groups() if text)


def _in_template(template: str, pattern: re.Pattern[str]) -> Iterator[str]:
    text = _STYLE.sub("", _REMARK.sub("", template))
    found = [*pattern.finditer(text), *_LINE.finditer(_STATEMENT.sub("", text))]
    for words in (part.strip() for match in found for part in match.groups() if part):
        if len(_WORD.findall(words)) > 1 and " " in words and not _CODE.search(words):
            yield words


def texts_of(value: Any) -> Iterator[str]:
    """Every text in a value of a template, those in drawings too."""
    for text in texts_in(value):
        yield text
        yield from (html.unescape(_TAG.sub(" ", inner)) for inner in _SVG_TEXT.findall(text))


def unaccounted(pages: Iterable[str], known: Iterable[str]) -> Iterator[str]:
    """Words of pages, as far as they are together, that come from none of the known texts."""
    texts = {letters: words for words in known if (letters := _bare(words))}
    sayings = [key for key, words in texts.items() if " " in words.strip() or len(key) >= _NO_WORD]
    everything = "\0".join(sayings)
    for page in pages:
        words = page.split()
        bare = [_bare(word) for word in words]
        brought = _brought("".join(bare), sayings)
        together: list[str] = []
        own = False
        place = 0
        for word, plain in zip([*words, ""], [*bare, ""], strict=True):
            share = sum(brought[place : place + len(plain)])
            place += len(plain)
            if word and share <= _HALF * len(plain):
                # A word that is known by itself may be a part of what is around it.
                together.append(word)
                own = own or bool(plain and plain not in texts)
                continue
            said = " ".join(together)
            # A piece of a known text, torn by a column or the end of a line, is no other.
            if own and _WORD.search(said) and _bare(said) not in everything:
                yield said
            together, own = [], False


def _brought(letters: str, texts: Iterable[str]) -> bytearray:
    """A one for each letter that one of the texts has brought."""
    brought = bytearray(len(letters))
    for text in texts:
        start = letters.find(text)
        while start >= 0:
            brought[start : start + len(text)] = b"\1" * len(text)
            start = letters.find(text, start + 1)
    return brought


def _bare(text: str) -> str:
    """Letters and figures alone, without case: what line ends and marks leave of a text."""
    return "".join(filter(str.isalnum, text.casefold()))
