"""Who may import whom, and where each outside library lives.

The three tables below are the architecture; DEVELOPERS.md shows the first two. The tests read every
file as a syntax tree, so an import inside a function counts as well.
"""

import ast
import re
import tomllib
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from importlib.metadata import packages_distributions
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
FOLDERS = {"engine": "trimscribe", "schemas": "trimscribe.schemas", "themes": "trimscribe.themes"}

# Each part of the package, and the parts that it may import. The lower may never look up, and no
# stage knows another.
PARTS = {
    # the base
    "errors": "",
    "templating": "",
    "formats": "",
    "colour": "",
    "canvas": "",
    "letters": "",
    "world": "",
    "hints": "errors",
    "marked_text": "errors",
    "whereabouts": "",
    "syntax_faults": "errors marked_text",
    "marked_yaml": "errors marked_text syntax_faults",
    "model": "errors",
    "contracts": "errors model",
    "guard": "errors contracts model whereabouts",
    "registry": "errors contracts guard world",
    "resources": "errors model",
    "readback": "errors model",
    "cell": "errors whereabouts",
    # beside the base
    "schemas": "errors marked_yaml model",
    "themes": "",
    "doubt_messages": "errors model",
    "evidence": "model",
    "validation": "errors model contracts marked_yaml schemas",
    "exports": "errors model contracts registry letters marked_text marked_yaml "
    "resources schemas validation whereabouts",
    # the stages
    "read": "errors model contracts registry letters marked_yaml resources schemas "
    "whereabouts validation exports",
    "analyse": "errors model contracts registry",
    "assess": "errors model contracts",
    "narrate": "errors model registry marked_yaml templating formats whereabouts",
    "compose": "errors model contracts registry evidence marked_yaml resources colour "
    "canvas templating formats world schemas whereabouts",
    "plan": "errors model",
    "typeset": "errors model",
    "outputs": "errors model colour templating",
    "archive": "errors model letters readback resources",
    # over the stages
    "pipeline": "errors model doubt_messages registry world read analyse assess narrate compose "
    "plan archive",
    "theming": "errors model registry world pipeline read compose typeset",
    "sign": "errors model registry readback formats narrate compose typeset",
    "verification": "errors model registry world resources readback cell typeset pipeline sign",
    "trimscribe": "errors model registry world pipeline read analyse readback verification",
    "desk": "errors model evidence doubt_messages registry world whereabouts pipeline "
    "theming analyse archive exports compose marked_yaml schemas typeset",
    "catalogue": "marked_yaml archive batch cell readback sign verification",
    "batch": "errors model registry world resources marked_yaml cell pipeline read archive",
    "preview": "errors model evidence registry world resources whereabouts cell pipeline compose "
    "batch",
    "cli": "errors formats model evidence registry world resources cell desk theming archive "
    "batch catalogue exports verification sign preview",
    "__main__": "cli",
}

# Each outside library has one home, some two. Tests use more; the package uses these alone.
HOMES = {
    "yaml": "marked_yaml",
    "marshmallow": "schemas",
    "jinja2": "templating",
    "markupsafe": "templating",
    "babel": "formats",
    "cattrs": "model",
    "numpy": "analyse plan typeset",
    "scipy": "analyse plan",
    "matplotlib": "canvas",  # drawings; which letters a font has
    "typst": "typeset",
    "pypdfium2": "typeset",
    "pikepdf": "readback",
    "PIL": "typeset",
    "tinycss2": "outputs",
    "pyhanko": "sign",
    "pyhanko_certvalidator": "sign",
    "python_calamine": "exports",
    "xlrd": "exports",
    "click": "cli",
    "rich": "cli",
    "filelock": "archive",
    "psutil": "cell",
    "distributed": "batch",
    "anyio": "preview",
    "starlette": "preview",
    "uvicorn": "preview",
    "h11": "preview",
    "watchfiles": "preview",
}

# What would make two runs differ, or let the outside in: the only parts that may touch it.
OUTSIDE = {
    "datetime.datetime.now": "sign",  # when a report was signed
    "datetime.datetime.today": "",
    "datetime.datetime.utcnow": "",
    "datetime.date.today": "",
    "time": "archive batch cell cli preview",  # the age of what a killed run left; how long it took
    "random": "",
    "secrets": "archive preview",  # names of files that are being written; a token
    "uuid": "",
    "locale": "",
    "platform": "world",
    "importlib.metadata": "registry world",
    "os.environ": "cell cli",
    "os.getenv": "cli",
    "sys.argv": "cli",
    "sys.exit": "cli",
    "sys.stdin": "cell cli",
    "sys.stdout": "cell cli",
    "sys.stderr": "cell cli",
    "socket": "preview",  # loopback alone
    "urllib": "",
    "http": "",
    "subprocess": "cell verification",  # the user's own validator
    "pickle": "cell",  # to a worker; back comes data alone
    "marshal": "",
    "shelve": "",
}

SHORT_FILE = 300  # lines with something on them; a longer idea may have a longer file
LONGEST_FILE = 500


@dataclass(frozen=True)
class Source:
    """One file of the package: its name as a module and its text."""

    module: str
    path: str
    text: str

    @cached_property
    def tree(self) -> ast.Module:
        return ast.parse(self.text)

    @property
    def part(self) -> str:
        """The key in PARTS that this module belongs to."""
        return part_of(self.module)

    def names(self) -> Iterator[tuple[str, int]]:
        """Yield every outside name with its line: imports, and attributes of what was imported."""
        bound: dict[str, str] = {}
        for node in ast.walk(self.tree):
            if isinstance(node, ast.Import):
                for alias in node.names:
                    first = alias.name.partition(".")[0]
                    bound[alias.asname or first] = alias.name if alias.asname else first
                    yield alias.name, node.lineno
            elif isinstance(node, ast.ImportFrom):
                for alias in node.names:
                    name = f"{node.module}.{alias.name}"
                    bound[alias.asname or alias.name] = name
                    yield name, node.lineno
        for node in ast.walk(self.tree):
            if isinstance(node, ast.Attribute) and (name := dotted(node, bound)):
                yield name, node.lineno


def dotted(node: ast.expr, bound: dict[str, str]) -> str | None:
    """Return `dt.date.today` as `datetime.date.today`, if `dt` was imported."""
    if isinstance(node, ast.Name):
        return bound.get(node.id)
    if isinstance(node, ast.Attribute) and (owner := dotted(node.value, bound)):
        return f"{owner}.{node.attr}"
    return None


def part_of(module: str) -> str:
    """Return the part that holds `trimscribe.read.reader`: `read`."""
    second = module.split(".")[:2][-1]
    return second if second in PARTS else "trimscribe"


def within(name: str, prefix: str) -> bool:
    return name == prefix or name.startswith(prefix + ".")


def breaches(source: Source) -> Iterator[str]:
    """Yield every broken rule as `file:line: what`, once."""
    seen = set()
    for name, line in source.names():
        for rule in broken_rules(source.part, name):
            if (line, rule) not in seen:
                seen.add((line, rule))
                yield f"{source.path}:{line}: {rule}"


def broken_rules(part: str, name: str) -> Iterator[str]:
    if within(name, "trimscribe"):
        other = part_of(name)
        if other != part and other not in PARTS[part].split():
            allowed = PARTS[part] or "nothing of Trimscribe"
            yield f"{part} imports {other}; it may import: {allowed}"
    for library, home in HOMES.items():
        if within(name, library) and part not in home.split():
            yield f"{part} uses {library}, whose only home is {home}"
    for thing, parts in OUTSIDE.items():
        if within(name, thing) and part not in parts.split():
            yield f"{part} uses {thing}, open only to: {parts or 'nobody'}"


def sources() -> list[Source]:
    """Every module that ships, by the name it ships under."""
    found = []
    for folder, package in FOLDERS.items():
        for path in sorted((ROOT / folder).rglob("*.py")):
            inner = path.relative_to(ROOT / folder).with_suffix("").parts
            inner = inner[:-1] if inner[-1] == "__init__" else inner
            module = ".".join((package, *inner))
            shown = path.relative_to(ROOT).as_posix()
            found.append(Source(module, shown, path.read_text(encoding="utf-8")))
    return found


SOURCES = sources()


def test_imports_keep_their_direction_and_libraries_their_homes() -> None:
    found = [breach for source in SOURCES for breach in breaches(source)]

    assert not found, "\n".join(["", *found])


@pytest.mark.parametrize(
    ("module", "line", "reported"),
    [
        ("read.reader", "from trimscribe.compose import compose", "read imports compose"),
        ("read.reader", "from trimscribe import compose", "read imports compose"),
        ("read.reader", "import trimscribe.cli.main", "read imports cli"),
        ("read.reader", "import trimscribe", "read imports trimscribe"),
        ("model.job", "def f():\n    import trimscribe.registry", "model imports registry"),
        ("compose.document", "import typst", "compose uses typst"),
        ("compose.document", "from yaml.nodes import Node", "compose uses yaml"),
        ("world", "import datetime as dt\ndt.date.today()", "world uses datetime.date.today"),
        ("world", "from datetime import datetime\ndatetime.now()", "uses datetime.datetime.now"),
        ("read.files", "import os\nos.environ['HOME']", "read uses os.environ"),
        ("narrate.words", "from time import monotonic", "narrate uses time"),
    ],
)
def test_a_breach_is_found(module: str, line: str, reported: str) -> None:
    found = list(breaches(Source(f"trimscribe.{module}", "file.py", line)))

    assert len(found) == 1
    assert re.match(r"file\.py:\d: ", found[0])
    assert reported in found[0]


@pytest.mark.parametrize(
    ("module", "line"),
    [
        ("read.reader", "from trimscribe.read.files import JobFolder"),
        ("read.reader", "from trimscribe.schemas.job import JobSchema"),
        ("marked_yaml", "import yaml\nyaml.compose('')"),
        ("read.files", "import os\nos.path.normpath('')"),
        ("typeset.pdf", "import datetime as dt\ndt.datetime.combine(day, dt.time(), dt.UTC)"),
    ],
)
def test_what_is_allowed_is_no_breach(module: str, line: str) -> None:
    assert list(breaches(Source(f"trimscribe.{module}", "file.py", line))) == []


def test_every_part_has_its_rule_and_every_rule_its_part() -> None:
    found = {source.module.split(".")[:2][-1] for source in SOURCES}

    assert found == set(PARTS)


@pytest.mark.parametrize("table", [PARTS, HOMES], ids=["parts", "homes"])
def test_developers_read_the_table_that_is_held(table: dict[str, str]) -> None:
    lines = [f"{left:14} {right or 'nothing'}" for left, right in table.items()]

    assert "\n".join(["```", *lines, "```"]) in (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")


def test_every_dependency_has_a_home_and_every_home_its_dependency() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    extras = project["optional-dependencies"]
    # python-pkcs11 has no name of ours: the library for signatures loads it by itself.
    extra = [text for text in extras["sign"] if not text.startswith("python-pkcs11")]
    wanted = [*project["dependencies"], *extras["dask"], *extra]
    asked = {re.match(r"[\w-]+", text)[0].lower() for text in wanted}
    owners = packages_distributions()

    assert {owners[library][0].lower() for library in HOMES} == asked


def test_every_file_says_which_idea_it_holds() -> None:
    assert [source.path for source in SOURCES if not ast.get_docstring(source.tree)] == []


def test_nine_of_ten_files_are_short_and_none_is_long() -> None:
    lengths = sorted(sum(bool(line.strip()) for line in s.text.splitlines()) for s in SOURCES)
    assert lengths[len(lengths) * 9 // 10] <= SHORT_FILE
    assert lengths[-1] <= LONGEST_FILE


_DIRECTIONS = frozenset(
    {"pitch", "symmetry", "turn", "twist", "residuals", "travel_change", "expectation"}
)


@pytest.mark.parametrize("folder", ["figures", "sections"])
def test_figures_and_sections_take_directions_from_the_assessment(folder: str) -> None:
    read = [
        f"{path.name}:{node.lineno} .{node.attr}"
        for path in sorted((ROOT / "engine/compose" / folder).glob("*.py"))
        if "history" not in path.name and path.name != "bench_sheet.py"  # no finding: a proposal
        for node in ast.walk(ast.parse(path.read_text("utf-8")))
        if isinstance(node, ast.Attribute) and node.attr in _DIRECTIONS
    ]
    assert read == []


# numpy leaves these to BLAS, whose sums differ between processors; see analyse/products.py.
_BLAS = {"dot", "vdot", "matmul", "tensordot", "cov", "corrcoef", "lstsq", "linregress", "linalg"}
_COMPARES_FONTS = "engine/typeset/faces.py"  # with each other: nothing of it is in a report


def left_to_blas(tree: ast.Module) -> list[int]:
    """Return the lines with products and solutions that are left to BLAS."""
    return [
        node.lineno
        for node in ast.walk(tree)
        if (isinstance(node, ast.BinOp) and isinstance(node.op, ast.MatMult))
        or (isinstance(node, ast.Attribute) and node.attr in _BLAS)
    ]


def test_no_number_of_a_report_is_left_to_blas() -> None:
    sources = [source for source in SOURCES if source.path != _COMPARES_FONTS]

    assert {s.path: found for s in sources if (found := left_to_blas(s.tree))} == {}
    assert left_to_blas(ast.parse("a @ b")) == left_to_blas(ast.parse("np.linalg.inv(a)")) == [1]


def class_names(tree: ast.Module) -> Iterator[str]:
    """Yield the public classes that a module defines."""
    for node in tree.body:
        if isinstance(node, ast.ClassDef) and not node.name.startswith("_"):
            yield node.name


def type_names(tree: ast.Module) -> Iterator[tuple[str, str]]:
    """Yield the names that a module gives to types, such as `Key`, each with the type."""
    for node in tree.body:
        if isinstance(node, ast.Assign) and isinstance(node.targets[0], ast.Name):
            name = node.targets[0].id
            if re.fullmatch(r"[A-Z][a-z]\w*", name):
                yield name, ast.unparse(node.value)


def names_with_two_meanings(sources: list[Source]) -> dict[str, list[str]]:
    """Return each public name of a class or type that means two things, with its places.

    The same short name for the same type (`Key` for a side and a point) is one thing.
    """
    meanings: dict[str, dict[str, str]] = {}
    for source in sources:
        for name in class_names(source.tree):
            meanings.setdefault(name, {})[source.module] = source.path
        for name, meaning in type_names(source.tree):
            meanings.setdefault(name, {})[meaning] = source.path
    return {name: list(found.values()) for name, found in meanings.items() if len(found) > 1}


def test_a_public_name_means_one_thing() -> None:
    assert names_with_two_meanings(SOURCES) == {}


@pytest.mark.parametrize(
    ("first", "second"),
    [
        ("class Key: ...", "class Key: ..."),
        ("class Key: ...", "Key = tuple[int, ...]"),
        ("Key = tuple[str, int]", "Key = tuple[int, int]"),
    ],
)
def test_a_name_with_two_meanings_is_found(first: str, second: str) -> None:
    sources = [Source("trimscribe.read", "a.py", first), Source("trimscribe.plan", "b.py", second)]

    assert names_with_two_meanings(sources) == {"Key": ["a.py", "b.py"]}


def test_one_short_name_for_one_type_is_one_meaning() -> None:
    key = "Key = tuple[str, int]"
    sources = [Source("trimscribe.read", "a.py", key), Source("trimscribe.plan", "b.py", key)]

    assert names_with_two_meanings(sources) == {}
