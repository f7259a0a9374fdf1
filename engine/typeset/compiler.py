"""One Typst compiler per thread and font set, kept warm, shut in an empty private root."""

import atexit
import functools
import shutil
import tempfile
import threading
from collections.abc import Mapping
from pathlib import Path

import typst

__all__ = ["compile_pdf"]

# Typst refuses a second use of one compiler at the same time, so each thread keeps its own.
_local = threading.local()

# Every part of the promise in one call: archival, tagged, readable aloud.
STANDARDS: "list[typst.PDFStandard]" = ["a-3a", "ua-1"]


@functools.cache
def _empty_root() -> Path:
    """A folder with nothing in it: whatever a template names outside its files is not found."""
    root = Path(tempfile.mkdtemp(prefix="trimscribe-"))
    atexit.register(shutil.rmtree, root, ignore_errors=True)
    return root


@functools.cache
def _fonts(folders: tuple[Path, ...]) -> typst.Fonts:
    """Scan font folders once per process."""
    return typst.Fonts(
        include_system_fonts=False, include_embedded_fonts=False, font_paths=list(folders)
    )


def _compiler(folders: tuple[Path, ...]) -> typst.Compiler:
    kept: dict[tuple[Path, ...], typst.Compiler] | None = getattr(_local, "compilers", None)
    if kept is None:
        kept = _local.compilers = {}
    if folders not in kept:
        root = _empty_root()
        kept[folders] = typst.Compiler(
            root=root,
            font_paths=_fonts(folders),
            ignore_system_fonts=True,
            package_path=root,
            package_cache_path=root,
        )
    return kept[folders]


def compile_pdf(
    files: Mapping[str, bytes], fonts: tuple[Path, ...], seconds: int
) -> tuple[bytes, tuple[str, ...]]:
    """Compile `files["main.typ"]` and return the PDF and the warnings.

    `seconds` since 1970 becomes the creation date. Raises typst.TypstError.
    """
    # A kept compiler would hand the previous report's inputs on, unless they are passed each time.
    data, warnings = _compiler(fonts).compile_with_warnings(
        input=dict(files),
        format="pdf",
        sys_inputs={},
        pdf_standards=STANDARDS,
        timestamp=seconds,
    )
    assert isinstance(data, bytes)  # one output file, because the format is PDF
    return data, tuple(str(warning.message) for warning in warnings)
