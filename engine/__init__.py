"""Trimscribe turns a paraglider service job into a plain-language report for the pilot.

    import trimscribe

    faults = trimscribe.check("demo.yaml")          # all that is wrong with it, and warnings
    content = trimscribe.prepare("demo.yaml")       # content.reading.job, .findings, .statements
    finished = trimscribe.render(content)           # finished.data is the PDF, .pages, .warnings
    pdf, page = trimscribe.report("demo.yaml", "reports", outputs=["pdf", "html"])  # .path
    proof = trimscribe.verify(pdf.path)             # proof.standing, proof.differences

They do what the commands `check`, `findings`, `report` and `verify` do, with the plugins that are
installed. Whatever goes wrong is a `TrimscribeError`, whose `faults` say what, where and how to
mend it. What is not in `__all__` may change without notice. The libraries behind these functions
load when they are first needed.
"""

from collections.abc import Sequence
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

from trimscribe.errors import Fault, InputError, ThemeError, TrimscribeError

if TYPE_CHECKING:
    from trimscribe.model.document import Content
    from trimscribe.model.proof import Proof
    from trimscribe.model.report import Record, Report
    from trimscribe.registry import Registry

    __version__: str

__all__ = ["TrimscribeError", "__version__", "check", "prepare", "render", "report", "verify"]


def check(path: Path | str, *, shop: Path | str = "", language: str = "") -> "tuple[Fault, ...]":
    """Return all faults of one job, and warnings; empty means that nothing is wrong.

    A fault whose `severity` is `Severity.ERROR` prevents a report. Nothing is written. Raises
    PluginError or PhraseError, which are about the installation, not about the job.
    """
    from trimscribe import pipeline

    warnings: tuple[Fault, ...] = ()
    try:
        content = prepare(path, shop=shop, language=language)
        warnings = content.warnings
        pipeline.check_look(content, _installed())
    except (InputError, ThemeError) as error:
        return (*warnings, *error.faults)
    return warnings


def prepare(
    path: Path | str, *, shop: Path | str = "", language: str = "", redact: bool = False
) -> "Content":
    """Read one job, analyse it and put it into words.

    `shop` is a shop file used in place of the job's. `language` replaces the workshop's. `redact`
    leaves out the entries about the pilot, and the name elsewhere. Raises InputError with all
    faults of the job and its files; warnings are in `warnings`.
    """
    from trimscribe import pipeline

    return pipeline.prepare(path, _installed(), shop, redact=redact, language=language)


def render(content: "Content", *, theme: str = "", output: str = "pdf") -> "Report":
    """Make one file from a prepared job: `output` is pdf, html, json, png or a plugin's name.

    `theme` is a name or a folder; empty means the workshop's own. Raises ThemeError, TypesetError
    or PluginError.
    """
    from trimscribe import pipeline
    from trimscribe.world import World

    (made,) = pipeline.outputs(content, _installed(), World.real(), (output,), theme=theme)
    return made


def report(
    path: Path | str,
    folder: Path | str = ".",
    *,
    shop: Path | str = "",
    theme: str = "",
    language: str = "",
    outputs: Sequence[str] = ("pdf",),
    force: bool = False,
) -> "tuple[Record, ...]":
    """Make one job's report and write it to `folder`: one record per output, in their order.

    All outputs are made before the first is written. A different file of the same name is never
    replaced unless `force`. Raises the errors of `prepare` and `render`, and ArchiveError.
    """
    from trimscribe import pipeline
    from trimscribe.world import World

    return pipeline.report(
        path,
        Path(folder),
        _installed(),
        World.real(),
        shop=shop,
        theme=theme,
        language=language,
        names=outputs,
        force=force,
    )


def verify(pdf: Path | str, *, theme: str = "") -> "Proof":
    """Make a report again from what its PDF carries, and compare.

    `theme` is a name or folder for a report whose own theme is not installed. A PDF that is not a
    report, or was altered, is a `Proof` that says so, never an error; OSError where the file
    cannot be read. It runs in this process: for files from strangers use the command, which limits
    memory and time.
    """
    from trimscribe.model.report import LARGEST_PDF
    from trimscribe.verification.check import check as prove
    from trimscribe.world import World

    with Path(pdf).open("rb") as stream:
        data = stream.read(LARGEST_PDF + 1)
    return prove(data, _installed(), World.real(), theme=theme)


@cache
def _installed() -> "Registry":
    """The plugins of this Python environment, looked up once."""
    from trimscribe.registry import Registry

    return Registry.installed()


if not TYPE_CHECKING:  # who reads the types knows `__version__`, and no other name

    def __getattr__(name: str) -> str:
        """`__version__`, looked up when it is asked for: importing this package stays quick."""
        if name == "__version__":
            from trimscribe.world import World

            return World.real().versions["trimscribe"]
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
