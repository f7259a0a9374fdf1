"""Where two documents differ, in words: the one that was handed in, and the one made again."""

import difflib
from collections import Counter
from collections.abc import Iterator, Sequence

from trimscribe.model.manifest import NAME, Role
from trimscribe.model.proof import Difference
from trimscribe.readback.contents import Contents
from trimscribe.readback.fingerprint import DocumentFingerprint, portrait_of
from trimscribe.readback.metadata import OF_THE_SAVER
from trimscribe.typeset.pictures import page_pictures
from trimscribe.typeset.text import pdf_pages
from trimscribe.verification.codes import CODES

_SHOWN = 8  # words of a difference
_LONGEST = 80  # characters of a field
_COMPARED = 4_000  # words of a page; comparing takes their square
# Drawn from the content: where that differs they say nothing more.
_DRAWN = {"InstanceID", "DocumentID"}
_DERIVED = {Role.FINDINGS: "findings-altered", Role.THEME: "theme-altered"}


def carried(contents: Contents) -> Iterator[Difference]:
    """Where the attached files are not those of the manifest: known without making anything."""
    for file in contents.altered():
        message = f"The attached file “{file.name}” is not the one that the manifest names."
        yield Difference("attachment-altered", message)
    for name in contents.missing():
        message = f"The file “{name}” that the manifest names is not attached."
        yield Difference("attachment-missing", message)
    for name in contents.added():
        message = f"A file “{name}” is attached that the manifest does not name."
        yield Difference("attachment-added", message)


def compared(given: bytes, made: bytes, contents: Contents, again: Contents) -> list[Difference]:
    """Each difference between a PDF and the one made again; ValueError when it has no pages.

    Everything is compared, always, whatever the PDF says of itself. What a signature adds behind a
    report, and what a program that saves writes of itself, is no difference.
    """
    then, now = portrait_of(given), portrait_of(made)
    if then.digest == now.digest:
        return []
    found = [
        *carried(contents),
        *_derived(contents, again),
        *_actions(then, now),
        *_laid_over(then, now),
        *_pages(given, made, then, now),
        *_metadata(then, now),
    ]
    if then.described != now.described:
        message = "What a screen reader is told of a drawing is not what the job gives."
        found.append(Difference("description-altered", message))
    if not found and not signed_over(given, made, then):
        message = "Words and drawings are right, but the PDF differs inside."
        found.append(Difference("inside-altered", message))
    return found


def signed_over(given: bytes, made: bytes, then: DocumentFingerprint) -> bool:
    """Whether a PDF is the one made again with a signature behind it, and nothing behind that."""
    return given.startswith(made) and then.signed_to == len(given)


def _derived(contents: Contents, again: Contents) -> Iterator[Difference]:
    """Files that are made of the job, and what the job now gives."""
    for role, code in _DERIVED.items():
        if contents.data(role) != again.data(role):
            yield Difference(code, CODES[code])
    if contents.files[NAME] != again.files[NAME]:
        yield Difference("manifest-altered", "The manifest is not what the attached job gives.")


def _actions(then: DocumentFingerprint, now: DocumentFingerprint) -> Iterator[Difference]:
    for action in sorted(set(then.actions) - set(now.actions)):
        message = f"The PDF would do something by itself when it is opened ({action})."
        yield Difference("action-added", message)


def _laid_over(then: DocumentFingerprint, now: DocumentFingerprint) -> Iterator[Difference]:
    for number, notes in enumerate(then.laid_over, 1):
        usual = now.laid_over[number - 1] if number <= len(now.laid_over) else ()
        for kind in sorted((Counter(notes) - Counter(usual)).elements()):
            message = f"Something lies over page {number} ({kind.removeprefix('/')})."
            yield Difference("laid-over", message)


def _pages(
    given: bytes, made: bytes, then: DocumentFingerprint, now: DocumentFingerprint
) -> Iterator[Difference]:
    old, new = pdf_pages(given), pdf_pages(made)
    if len(old) != len(new):
        yield from _more_or_fewer(old, new)
        return
    if old != new and sorted(old) == sorted(new):
        yield Difference("pages-reordered", CODES["pages-reordered"])
        return
    drawn = zip(page_pictures(given), page_pictures(made), strict=True)
    for number, (was, is_now, (seen, should)) in enumerate(zip(old, new, drawn, strict=True), 1):
        if not _same(was, is_now):
            yield Difference("text-altered", f"Page {number} says {_first(was, is_now)}.")
        elif seen != should or then.boxes[number - 1] != now.boxes[number - 1]:
            message = f"Page {number} has the right words, but does not look as the job gives it."
            yield Difference("drawing-altered", message)


def _more_or_fewer(old: Sequence[str], new: Sequence[str]) -> Iterator[Difference]:
    for number, page in enumerate(new, 1):
        if page not in old:
            yield Difference("page-missing", f"Page {number} that the job gives is not there.")
    for number, page in enumerate(old, 1):
        if page not in new:
            yield Difference("page-added", f"Page {number} is not one that the job gives.")


def _same(was: str, is_now: str) -> bool:
    """Whether two texts have the same letters; where words part is read from their places."""
    return "".join(was.split()) == "".join(is_now.split())


def _first(was_text: str, now_text: str) -> str:
    """The first words that differ, such as: “+9 mm” where the attached job gives “+7 mm”."""
    was, is_now = was_text.split()[:_COMPARED], now_text.split()[:_COMPARED]
    said = given = ""
    matcher = difflib.SequenceMatcher(None, was, is_now, autojunk=False)
    for tag, i1, i2, j1, j2 in matcher.get_opcodes():
        if tag != "equal":
            said, given = " ".join(was[i1:i2][:_SHOWN]), " ".join(is_now[j1:j2][:_SHOWN])
            break
    return f"“{said or '…'}” where the attached job gives “{given or '…'}”"


def _metadata(then: DocumentFingerprint, now: DocumentFingerprint) -> Iterator[Difference]:
    for key in sorted(then.metadata.keys() | now.metadata.keys()):
        own = key.strip("/").rpartition("}")[2]
        if own in _DRAWN | OF_THE_SAVER:
            continue
        was, is_now = then.metadata.get(key, ""), now.metadata.get(key, "")
        if was != is_now:
            message = f"The field {own} says “{_cut(was)}” where the job gives “{_cut(is_now)}”."
            yield Difference("metadata-altered", message)


def _cut(text: str) -> str:
    return text if len(text) <= _LONGEST else f"{text[:_LONGEST]}…"
