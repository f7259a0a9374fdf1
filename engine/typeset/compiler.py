"""One Typst compiler per thread and font set, kept warm, shut in a private root."""

import atexit
import functools
import os
import shutil
import tempfile
import threading
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import typst

from trimscribe.model.document import FontFolder

# Typst refuses a second use of one compiler at the same time, so each thread keeps its own.
_local = threading.local()

# Every part of the promise in one call: archival, tagged, readable aloud.
STANDARDS: "list[typst.PDFStandard]" = ["a-3a", "ua-1"]


def _empty_folder() -> Path:
    root = Path(os.path.realpath(tempfile.mkdtemp(prefix="trimscribe-")))
    atexit.register(shutil.rmtree, root, ignore_errors=True)
    return root


@dataclass
class _Bench:
    """A thread's compilers, and the folder that they take for the whole world."""

    root: Path = field(default_factory=_empty_folder)
    compilers: dict[tuple[FontFolder, ...], typst.Compiler] = field(default_factory=dict)

    def compiler(self, folders: tuple[FontFolder, ...]) -> typst.Compiler:
        if folders not in self.compilers:
            self.compilers[folders] = typst.Compiler(
                root=self.root,
                font_paths=_fonts(folders),
                ignore_system_fonts=True,
                package_path=self.root,
                package_cache_path=self.root,
            )
        return self.compilers[folders]

    @contextmanager
    def laid_out(self, files: Mapping[str, bytes]) -> Iterator[None]:
        """Have some files in the root for a while."""
        try:
            for name, data in files.items():
                path = self.root / name
                path.parent.mkdir(parents=True, exist_ok=True)
                path.write_bytes(data)
            yield
        finally:
            for name in files:
                (self.root / name).unlink(missing_ok=True)


@functools.cache
def _fonts(folders: tuple[FontFolder, ...]) -> typst.Fonts:
    """Scan font folders once per process, and again when a font has changed."""
    return typst.Fonts(
        include_system_fonts=False,
        include_embedded_fonts=False,
        font_paths=[folder.path for folder in folders],
    )


def _bench() -> _Bench:
    kept: _Bench | None = getattr(_local, "bench", None)
    if kept is None:
        kept = _local.bench = _Bench()
    return kept


def compile_pdf(
    files: Mapping[str, bytes], fonts: tuple[FontFolder, ...], seconds: int
) -> tuple[bytes, tuple[str, ...]]:
    """Compile `files["main.typ"]` and return the PDF and the warnings.

    `seconds` since 1970 becomes the creation date. Raises typst.TypstError.
    """
    bench = _bench()
    # What is in memory is read as Typst's own source, whatever it is: all else lies on the disk.
    sources: Any = {name: data for name, data in files.items() if name.endswith(".typ")}
    with bench.laid_out({name: files[name] for name in files.keys() - sources.keys()}):
        # A kept compiler would hand the previous report's inputs on, so they are passed each time.
        data, warnings = bench.compiler(fonts).compile_with_warnings(
            input=sources, format="pdf", sys_inputs={}, pdf_standards=STANDARDS, timestamp=seconds
        )
    assert isinstance(data, bytes)  # one output file, because the format is PDF
    return data, tuple(str(warning.message) for warning in warnings)


def without_root(text: str) -> str:
    """A message without the private root, which tells a person nothing."""
    return text.replace(f"{_bench().root}{os.sep}", "").replace(str(_bench().root), "")
