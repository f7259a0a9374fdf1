"""PDFs asked to prove themselves: one line each for people, or one document for programs."""

import os
from collections import Counter
from collections.abc import Collection, Iterable, Iterator, Sequence
from pathlib import Path, PurePath

from trimscribe.cli.bar import Bar
from trimscribe.cli.output import Exit, clean, print_document, print_error, print_result
from trimscribe.model.plain import Plain, plain_fields
from trimscribe.model.proof import Proof, Signature, SignatureState, Standing
from trimscribe.verification.many import check_all

# The exit code and the meaning of each standing, then of each state of a signature.
_STANDINGS = {
    Standing.IDENTICAL: (Exit.DONE, "made again, it is the same to the last byte"),
    Standing.SAME_CONTENT: (Exit.DONE, "says and shows the same, in other bytes"),
    Standing.UNPROVEN: (Exit.UNPROVEN, "cannot be known here"),
    Standing.UNREADABLE: (Exit.UNPROVEN, "is not a report that can be read back"),
    Standing.ALTERED: (Exit.ALTERED, "is not what the job inside gives"),
}
_STATES = {
    SignatureState.GOOD: (Exit.DONE, "it holds, and goes back to a certificate that you trust"),
    SignatureState.ISSUER_UNKNOWN: (Exit.DONE, "it holds; whose word it is, --trust can tell"),
    SignatureState.NOT_CHECKED: (Exit.DONE, "for that, install trimscribe[sign]"),
    SignatureState.SELF_SIGNED: (Exit.UNPROVEN, "it holds, but nobody vouches for the name"),
    SignatureState.EXPIRED: (Exit.UNPROVEN, "the certificate was not valid at that time"),
    SignatureState.WRONG_KEY: (Exit.ALTERED, "it was not made with the key of that certificate"),
    SignatureState.ALTERED: (Exit.ALTERED, "the file is not what was signed"),
}


def pdfs_below(places: Iterable[str], passed_over: list[str] | None = None) -> Iterator[Path]:
    """The files as they were named, and every PDF below a folder in name order.

    What is below and not looked at goes into `passed_over`: links, and folders that cannot be read.
    """
    left_out = [] if passed_over is None else passed_over

    def cannot_list(error: OSError) -> None:
        left_out.append(str(error.filename))

    for place in places:
        path = Path(place)
        if not os.path.isdir(path):
            yield path
            continue
        for folder, folders, names in os.walk(path, onerror=cannot_list):
            folders.sort()
            left_out += [str(p) for p in map(Path(folder).joinpath, folders) if p.is_symlink()]
            for found in map(Path(folder).joinpath, sorted(names)):
                if not found.name.lower().endswith(".pdf"):
                    continue
                if found.is_symlink():
                    left_out.append(str(found))
                else:
                    yield found


def show_proofs(
    paths: Sequence[Path],
    theme: str,
    workers: int,
    trusted: tuple[bytes, ...] = (),
    passed_over: Sequence[str] = (),
    *,
    as_json: bool,
) -> int:
    """Check all and return the highest exit code; `passed_over` is told as not looked at."""
    found: dict[Path, Proof] = {}
    missed = 0
    with Bar(len(paths), "not proven") as bar:
        for path, proof in check_all(paths, theme, workers, trusted):
            found[path] = proof
            missed += _exit(proof) is not Exit.DONE
            bar.advance(missed)
            if not as_json:
                _print_proof(path, proof)
    code = max(map(_exit, found.values()), default=Exit.DONE)
    if as_json:
        print_document(code, **_document(found, passed_over))
    else:
        for place in passed_over:
            print_error(f"{PurePath(place).as_posix()}: not looked at: a link, or not to be read")
        print_error(_summed_up(found.values()))
    return code


def _exit(proof: Proof) -> Exit:
    signed = _STATES[proof.signature.state][0] if proof.signature else Exit.DONE
    return max(_STANDINGS[proof.standing][0], signed)


def _print_proof(path: Path, proof: Proof) -> None:
    print_result(f"{clean(path.as_posix())}: {proof.standing}: {_STANDINGS[proof.standing][1]}")
    for difference in proof.differences:
        print_result(f"   {clean(difference.message)}")
    if proof.signature:
        print_result(f"   {clean(_signed(proof.signature))}")
    if proof.versions:
        parts = [f"{v.name} {v.then} (here {v.now or 'none'})" for v in proof.versions]
        print_result(f"   Made with other versions: {clean(', '.join(parts))}.")


def _counts(proofs: Collection[Proof]) -> tuple[Counter[Standing], Counter[SignatureState]]:
    signed = (proof.signature.state for proof in proofs if proof.signature)
    return Counter(proof.standing for proof in proofs), Counter(signed)


def _summed_up(proofs: Collection[Proof]) -> str:
    """Such as: 3 identical, 1 altered; signatures: 1 good, 1 expired."""
    standings, states = _counts(proofs)
    reported = ", ".join(f"{standings[s]} {s}" for s in Standing if standings[s])
    signed = ", ".join(f"{states[s]} {s}" for s in SignatureState if states[s])
    return f"{reported}; signatures: {signed}" if signed else reported or "no PDF found"


def _signed(signature: Signature) -> str:
    """Such as: Signed by Quarry Hill on 2026-10-16 (its own word): good: …"""
    when = signature.when[:10]
    whose = "by a time stamp" if signature.time_stamped else "by its own word"
    by = f" by {signature.signer}" if signature.signer else ""
    on = f" on {when} ({whose})" if when else ""
    return f"Signed{by}{on}: {signature.state}: {_STATES[signature.state][1]}."


def _document(found: dict[Path, Proof], passed_over: Sequence[str]) -> dict[str, Plain]:
    """The whole run as data: how many of each standing (`summary`) and of each state of signature
    (`signatures`), `passed_over` and `reports` by path, beside `format` and `exit_code`.

    A report has its `path`, `standing`, `sha256`, `service`, `differences` (`code`, `message`),
    `versions` (`name`, `then`, `now`; empty where it is not installed) and `signature` (`state`,
    `signer`, `when`, `time_stamped`; null where there is none).
    """
    standings, states = _counts(found.values())
    return {
        "summary": {standing.value: standings[standing] for standing in Standing},
        "signatures": {state.value: states[state] for state in SignatureState},
        "passed_over": [PurePath(place).as_posix() for place in passed_over],
        "reports": [
            {"path": path.as_posix(), **plain_fields(found[path])} for path in sorted(found)
        ],
    }
