"""Whatever happens to a file, the answer is a job or InputError, never a traceback."""

from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st

from trimscribe.catalogue import fault_codes
from trimscribe.errors import InputError, Severity
from trimscribe.model.job import Reading

EXAMPLES = Path(__file__).parents[2] / "examples"
FILES = {
    name: (EXAMPLES / name).read_bytes()
    for name in ("demo.yaml", "shop.yaml", "medlar-m.yaml", "demo-before.csv")
}

# The fixtures give a folder and a function; nothing in them changes from example to example.
CALM = settings(suppress_health_check=[HealthCheck.function_scoped_fixture])


def check(tmp_path: Path, read_example: Callable[[Path], Reading], files: dict[str, bytes]) -> None:
    for name, data in files.items():
        (tmp_path / name).write_bytes(data)
    try:
        faults = read_example(tmp_path / "demo.yaml").warnings
    except InputError as error:
        faults = error.faults
        assert any(fault.severity is Severity.ERROR for fault in faults)
    for fault in faults:
        about = fault_codes()[fault.code].about
        assert about in ("what people write", "files and pictures")
        assert fault.message
        assert fault.mark is not None


@CALM
@given(
    file=st.sampled_from(sorted(FILES)),
    place=st.floats(0, 1, exclude_max=True),
    sign=st.sampled_from("\t\n :,.-[]{}#&*!|>'\"%@`?~0aZ\x00é🛩") | st.just(""),
    instead=st.booleans(),
)
@example("demo.yaml", 0.0, "\ufeff", False)
@example("demo-before.csv", 0.0, "\ufeff", False)
def test_one_sign_wrong_gives_no_traceback(
    tmp_path: Path,
    read_example: Callable[[Path], Reading],
    file: str,
    place: float,
    sign: str,
    instead: bool,
) -> None:
    text = FILES[file].decode()
    at = int(place * len(text))
    damaged = text[:at] + sign + text[at + (instead or not sign) :]
    check(tmp_path, read_example, FILES | {file: damaged.encode()})


@CALM
@given(file=st.sampled_from(sorted(FILES)), data=st.binary(max_size=300))
def test_any_bytes_give_no_traceback(
    tmp_path: Path, read_example: Callable[[Path], Reading], file: str, data: bytes
) -> None:
    check(tmp_path, read_example, FILES | {file: data})


@CALM
@given(data=st.data(), file=st.sampled_from(["demo.yaml", "shop.yaml", "medlar-m.yaml"]))
def test_any_value_in_any_place_gives_no_traceback(
    tmp_path: Path, read_example: Callable[[Path], Reading], data: st.DataObject, file: str
) -> None:
    lines = FILES[file].decode().splitlines()
    keyed = [n for n, line in enumerate(lines) if ":" in line and not line.startswith("#")]
    number = data.draw(st.sampled_from(keyed))
    value = data.draw(
        st.sampled_from(
            (
                *("~", "0", "-1", "1e9", "x", "''", "true", "2026-02-30", "99999999999"),
                *("[]", "{}", "[~]", "[[1]]", "[1, {a: ~}]", "{a: {b: 1}}", "{left: ~}"),
                *("{row: []}", "{1: 2}"),
            )
        )
    )
    lines[number] = lines[number].split(":")[0] + ": " + value
    check(tmp_path, read_example, FILES | {file: "\n".join(lines).encode()})


def test_no_folder_is_shown_that_nobody_typed(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, read_example: Callable[[Path], Reading]
) -> None:
    for name, data in FILES.items():
        (tmp_path / name).write_bytes(data.replace(b"A", b"\x07").replace(b"file:", b"file: ./"))
    monkeypatch.chdir(tmp_path)
    with pytest.raises(InputError) as caught:
        read_example(Path("demo.yaml"))

    assert str(tmp_path) not in repr(caught.value.faults)


@pytest.mark.parametrize(("path", "code"), [("none.yaml", "file-not-found"), (".", "not-a-file")])
def test_a_job_that_is_no_file_is_named(
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    read_example: Callable[[Path], Reading],
    path: str,
    code: str,
) -> None:
    monkeypatch.chdir(tmp_path)
    with pytest.raises(InputError) as caught:
        read_example(Path(path))

    assert [(f.code, str(f.mark)) for f in caught.value.faults] == [(code, path)]
