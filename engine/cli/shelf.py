"""A shelf on the command line: reports put there, looked for, and looked after."""

import hashlib
import os
from collections.abc import Iterable, Mapping, Sequence
from pathlib import Path

from trimscribe.archive.entry import Entry, folded, has_words
from trimscribe.archive.faults import refusal
from trimscribe.archive.shelf import Shelf
from trimscribe.cell.once import shared
from trimscribe.cli.output import (
    Exit,
    clean,
    fault_data,
    number_of,
    print_document,
    print_error,
    print_faults,
    print_result,
    print_rows,
    progress,
)
from trimscribe.cli.run import shelf_reader
from trimscribe.errors import Fault, Mark, ReadbackError, TrimscribeError
from trimscribe.model.plain import Plain, plain_fields
from trimscribe.model.proof import Proof, Standing
from trimscribe.model.report import Report
from trimscribe.resources.file_access import pdf_bytes
from trimscribe.verification.many import check_all

_TITLES = ("done", "service", "wing", "serial number", "pilot", "verdict", "SHA-256", "")


def put_on_shelf(folder: str, pdfs: Sequence[Path], *, unproven: bool, as_json: bool) -> int:
    """Put each PDF on the shelf that proves itself; one that is refused stops no other.

    With `unproven` those too that cannot be proven here; never one that was altered.
    """
    shelf = Shelf(Path(folder), shelf_reader(shared()))
    with progress("proving", shown=len(pdfs) > 1 and not as_json):
        proofs = dict(check_all(pdfs))
    code: int = Exit.DONE
    rows: list[Plain] = []
    for number, pdf in enumerate(pdfs, 1):
        faults: tuple[Fault, ...] = ()
        place, unchanged = None, False
        try:
            with progress(f"{number} of {len(pdfs)}", shown=len(pdfs) > 1 and not as_json):
                data = _proven(pdf, proofs[pdf], unproven=unproven)
                record = shelf.put(
                    Report(data=data, suffix=".pdf", media_type="application/pdf", pages=0)
                )
            place, unchanged = record.path.as_posix(), record.unchanged
        except TrimscribeError as error:
            faults, code = error.faults, max(code, error.exit_code)
        rows.append(
            {
                "pdf": pdf.as_posix(),
                "path": place,
                "unchanged": unchanged,
                "faults": [*map(fault_data, faults)],
            }
        )
        if not as_json:
            print_faults(_of(pdf, faults))
            if place:
                print_result(clean(place))
    if as_json:
        print_document(code, reports=rows)
    return code


def _of(pdf: Path, faults: Iterable[Fault]) -> Iterable[Fault]:
    """Faults with a place: where the shelf names none, the PDF that was to be put there."""
    for fault in faults:
        mark = fault.mark or Mark(pdf.as_posix())
        yield Fault(fault.code, fault.message, mark, fault.hint, fault.severity)


def _proven(pdf: Path, proof: Proof, *, unproven: bool) -> bytes:
    """The bytes that were proven; raises ReadbackError for those that were not."""
    if proof.standing is Standing.UNREADABLE:
        raise ReadbackError([Fault(one.code, one.message) for one in proof.differences])
    wanted = {Standing.IDENTICAL, Standing.SAME_CONTENT}
    if proof.standing not in wanted | ({Standing.UNPROVEN} if unproven else set()):
        raise ReadbackError(refusal("not-proven", pdf).faults)
    data = pdf_bytes(pdf)
    if data is None or hashlib.sha256(data).hexdigest() != proof.sha256:
        raise ReadbackError.of("not-read", "The file was changed, or cannot be read.")
    return data


def show_shelf(
    folder: str, wanted: Mapping[str, str], *, check: bool, rebuild: bool, as_json: bool
) -> int:
    """List what fits; with `check` name the reports that are lost or changed.

    Raises ArchiveError where there is no such folder: a mistyped one must not look like an empty
    shelf on which all is well.
    """
    shelf = Shelf(Path(folder), shelf_reader(shared()))
    if not os.path.isdir(shelf.folder):
        raise refusal("no-shelf", shelf.folder)
    if rebuild:
        shelf.rebuild()
    every = shelf.reports()
    found = [entry for entry in every if _fits(entry, wanted)]
    faults = [*shelf.problems()] if check else []
    code = Exit.DISK if any(fault.severity == "error" for fault in faults) else Exit.DONE
    replaced = {folded(e.replaces): e.service for e in every if e.replaces}
    if as_json:
        reports: list[Plain] = [
            {**plain_fields(entry), "replaced_by": replaced.get(folded(entry.service), "")}
            for entry in found
        ]
        print_document(code, faults=[*map(fault_data, faults)], reports=reports)
        return code
    if found:
        print_rows(_TITLES, (_texts(entry, replaced) for entry in found))
    print_faults(faults)
    print_error(f"{len(found)} of {number_of(len(every), 'report')}")
    return code


def _fits(entry: Entry, wanted: Mapping[str, str]) -> bool:
    """Whether a report has all that is asked for; what is empty is not."""
    texts = {"pilot": entry.pilot, "model": f"{entry.maker} {entry.model} {entry.size}"}
    equal = {"serial": entry.serial_number, "service": entry.service, "verdict": entry.verdict}
    return (
        all(not wanted[key] or has_words(text, wanted[key]) for key, text in texts.items())
        and all(not wanted[key] or folded(wanted[key]) == folded(v) for key, v in equal.items())
        and entry.done >= wanted["since"]
        and (not wanted["until"] or entry.done <= wanted["until"])
    )


def _texts(entry: Entry, replaced: Mapping[str, str]) -> tuple[str, ...]:
    newer = replaced.get(folded(entry.service))
    chain = f"replaced by {newer}" if newer else ""
    chain = chain or (f"replaces {entry.replaces}" if entry.replaces else "")
    wing = f"{entry.model} {entry.size}"
    known = (entry.done, entry.service, wing, entry.serial_number, entry.pilot, entry.verdict)
    return (*known, entry.sha256, chain)
