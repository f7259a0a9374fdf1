"""A job file and all the files that it names, as one checked job or all its faults at once.

Faults are gathered in three rounds: the structure of each file, each value alone (schemas), and
values together (checks). Every round goes on with what the one before left right.
"""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import replace
from functools import lru_cache
from pathlib import Path
from typing import Any

from trimscribe.contracts import ImportedLength
from trimscribe.errors import Fault, InputError, Mark, any_error
from trimscribe.exports.files import as_text
from trimscribe.exports.mapping.extract import (
    import_export,
    importers_for,
    lengths_of,
    read_lengths,
)
from trimscribe.exports.mapping.load import load_map
from trimscribe.marked_yaml import LoadedYaml, ValuePath, load
from trimscribe.model.job import Reading
from trimscribe.model.thresholds import Thresholds
from trimscribe.model.wing import LineKey, Tolerances
from trimscribe.read.build import (
    DEFAULT_TOLERANCE,
    LineLengths,
    build_job,
    build_specification,
    effective_tolerances,
    line_groups,
    stated_thresholds,
)
from trimscribe.read.files import JobFolder
from trimscribe.read.measurement_checks import check_measurement
from trimscribe.read.retrim_checks import check_retrim
from trimscribe.read.shop import ShopFile, workshop_of
from trimscribe.read.work_checks import check_work, left_alone
from trimscribe.registry import Registry
from trimscribe.resources.file_access import real_path
from trimscribe.schemas.faults import FaultList, ValidValues, check
from trimscribe.schemas.fields import Schema
from trimscribe.schemas.job import JobFileSchema
from trimscribe.schemas.kinds import kind_by_keys, with_article
from trimscribe.schemas.shop import ShopFileSchema
from trimscribe.schemas.specification import SpecificationFileSchema
from trimscribe.validation.lengths import gather
from trimscribe.validation.line_set import check_specification, specified
from trimscribe.whereabouts import at


def read(
    path: Path | str,
    registry: Registry,
    shop: Path | str = "",
    root: Path | str = "",
    *,
    before_work: bool = False,
) -> Reading:
    """Read one job; raises InputError with all faults of the job and the files that it names.

    The workshop is that of the file `shop`, else what the job says, else the nearest `shop.yaml`
    beside or above the job. Named files are looked up from the job's folder, and lie below `root`,
    else below the folder of the nearest shop file, else below the job's own. Warnings travel in
    `Reading.warnings`, or, when there are errors, among the faults of InputError. Both are in file
    order: the job first, then the files as it names them.

    A job may be read `before_work`: then its newest day stands for the day when it was done.
    """
    chosen = Path(shop) if shop else None
    folder = JobFolder(Path(path), _root(path, shop, root))
    reading = _Reader(folder, registry, chosen, before_work).read()
    at(Path(path).as_posix())  # what follows works on all of it
    return reading


def _root(path: Path | str, shop: Path | str, root: Path | str) -> Path | None:
    """What the person has said: a root, or a shop file above the job."""
    if root:
        return Path(root)
    above = real_path(Path(shop)).parent if shop else None
    return above if above and real_path(Path(path)).is_relative_to(above) else None


class _Reader:
    """Reads one job, once."""

    def __init__(
        self, folder: JobFolder, registry: Registry, shop: Path | None, before_work: bool
    ) -> None:
        self.before_work = before_work
        self.registry = registry
        self.shop = shop
        self.folder = folder
        self.faults = FaultList()
        self.unread: set[str] = set()  # measurings of whose file something was refused

    def read(self) -> Reading:
        job = self._load(self.folder.open_job(), self.folder.typed, JobFileSchema)
        if job is None:
            raise InputError(self._sorted())
        shop_file = ShopFile.find(job, self.folder, self.shop, self.faults)
        shop = self._shop(job, shop_file)
        workshop = workshop_of(job, shop, shop_file, self.folder, self.faults)
        specification = self._named(job, "specification", SpecificationFileSchema)
        lengths = {
            when: self._lengths(when, job.inside(when), specification)
            for when in ("before", "after")
        }
        self.faults.end_round()

        if specification:
            check_specification(specification, self.faults)
        check_work(job, specification, self._measured(job, lengths), self.faults)
        check_retrim(job, specification, self.faults)
        stated = stated_thresholds(job.values, shop.values if shop else {})
        load_ratio = Thresholds().with_overrides(stated).load_ratio
        for when, found in lengths.items():
            wanted = (
                None
                if not job.has("specification") and not job.faulty("specification")
                else specification or ValidValues({}, job.loaded)
            )
            earlier: Collection[LineKey] | None = ()
            if when == "after":
                known = [
                    key
                    for key, one in lengths["before"].items()
                    if one.value is not None or self.faults.taken(one.mark)
                ]
                earlier = left_alone(known, job, specification)
            if {"before", when} & self.unread:
                earlier = None
            check_measurement(job.inside(when), found, wanted, load_ratio, self.faults, earlier)
        self._stop_at_errors()
        tolerances = _tolerances(job, specification, shop)
        if specification and DEFAULT_TOLERANCE.source in tolerances.source:
            self._warn_of_default(job, line_groups(specification.values), tolerances)

        return Reading(
            job=build_job(
                job.values,
                workshop,
                shop.values if shop else {},
                build_specification(specification.values) if specification else None,
                tolerances,
                lengths,
            ),
            files=tuple(self.folder.files.values()),
            marks=_places(job, shop, specification, lengths),
            warnings=tuple(self._sorted()),
            shop=as_text(self.shop.name) if self.shop else "",
        )

    def _load(self, data: bytes | Fault, shown: str, schema: type[Schema]) -> ValidValues | None:
        """One YAML file against its schema; None when nothing can be known of its content."""
        if isinstance(data, Fault):
            self.faults.add(data)
            return None
        if schema is JobFileSchema:
            loaded, values, faults = _understood(data, shown, schema, before_work=self.before_work)
        else:
            loaded, values, faults = _kept(data, shown, schema)
        # Of a yes or no the schema knows what belongs there instead.
        said = {fault.mark for fault in faults if fault.code == "yes-no-boolean"}
        self.faults.add(*(one for one in loaded.faults if one.mark not in said))
        self.faults.end_round()
        if loaded.data is None:
            return None
        kind = kind_by_keys(loaded.data) if schema is JobFileSchema else "job"
        if kind != "job":
            message = f"This file is {with_article(kind)}, not a job."
            self.faults.error("not-a-job", message, loaded.text.start, "Name the job itself.")
            return None
        self.faults.add(*faults)
        self.faults.end_round()
        return ValidValues(values, loaded)

    def _named(self, job: ValidValues, key: str, schema: type[Schema]) -> ValidValues | None:
        """A mapping of the job, or the file that is there by name."""
        named = job.get(key)
        if isinstance(named, str):
            data = self.folder.open(named, job.mark(key))
            return self._load(data, self.folder.shown(named), schema)
        return job.inside(key) if isinstance(named, dict) else None

    def _shop(self, job: ValidValues, found: ShopFile) -> ValidValues | None:
        if found.data is None:
            return job.inside("workshop") if job.part("workshop") else None
        return self._load(found.data, found.shown, ShopFileSchema)

    def _lengths(
        self, when: str, measuring: ValidValues, specification: ValidValues | None
    ) -> LineLengths:
        imported: tuple[ImportedLength, ...] = ()
        known = len(self.faults.faults)
        if name := measuring.get("file"):
            mark = measuring.mark("file")
            data = self._export(name, mark)
            if isinstance(data, Fault):
                self.faults.add(data)
            elif plan := measuring.get("map"):
                plan_mark = measuring.mark("map")
                imported = self._by_map(when, data, name, mark, plan, plan_mark, specification)
            elif measuring.faulty("map"):
                pass  # reported already; without its map nobody knows what the file says
            else:
                imported = self._import(data, name, mark)
        elif measuring.has("map") and not measuring.has("file"):
            self.faults.error(
                "map-without-file",
                f"`{measuring.shown('map')}` is for a file, and none is named.",
                measuring.key("map"),
                "Name the export under `file`.",
            )
        lengths = gather(measuring, imported, self.faults)
        refused = any(map(measuring.faulty, ("file", "map")))
        if refused or any_error(self.faults.faults[known:]):
            self.unread.add(when)
        return lengths

    def _measured(self, job: ValidValues, lengths: Mapping[str, LineLengths]) -> list[str]:
        """The measurings of which anything is known, or was refused."""
        return [
            when
            for when, found in lengths.items()
            if when in self.unread
            or job.faulty(when)
            or job.part(when, "risers")
            or job.part(when, "free_travel_mm")
            or any(one.value for one in found.values())
        ]

    def _export(self, name: str, mark: Mark) -> bytes | Fault:
        importers = list(self.registry.all("importers"))
        known = importers_for(importers, name, mark)
        if isinstance(known, Fault):
            return known
        return self.folder.open_export(name, mark, (s for one in importers for s in one.suffixes))

    def _by_map(
        self,
        when: str,
        data: bytes,
        name: str,
        mark: Mark,
        plan_name: str,
        plan_mark: Mark,
        specification: ValidValues | None,
    ) -> tuple[ImportedLength, ...]:
        """Lengths of an export by its map; faults point to the cell."""
        plan_data = self.folder.open(plan_name, plan_mark)
        if isinstance(plan_data, Fault):
            self.faults.add(plan_data)
            return ()
        plan, faults = load_map(plan_data, self.folder.shown(plan_name))
        self.faults.add(*faults)
        if plan is None:
            return ()
        imported = import_export(
            self.registry,
            data,
            self.folder.shown(name),
            plan,
            mark,
            measuring=when,
            specified=specified(specification) if specification else None,
        )
        lengths, faults = lengths_of(imported, when, self.folder.shown(name))
        self.faults.add(*faults)
        return lengths

    def _import(self, data: bytes, name: str, mark: Mark) -> tuple[ImportedLength, ...]:
        lengths, faults = read_lengths(self.registry, data, self.folder.shown(name), mark)
        # No cell is at fault where a map is missing, but the line that names the file.
        self.faults.add(*(replace(f, mark=mark) if f.code == "map-needed" else f for f in faults))
        return tuple(lengths)

    def _warn_of_default(
        self, job: ValidValues, groups: Sequence[str], tolerances: Tolerances
    ) -> None:
        without = [group for group in groups if group not in tolerances.groups]
        lines = "the lines" if len(without) == len(groups) else f"{', '.join(without)} lines"
        self.faults.warning(
            "default-tolerance",
            f"Nobody gives a tolerance for {lines}; ±{tolerances.default_mm:g} mm is used "
            f"({DEFAULT_TOLERANCE.source}).",
            job.key("specification"),
            "Write the maker's under `tolerances` in the specification.",
        )

    def _sorted(self) -> list[Fault]:
        names = [self.folder.shown(name) for name in self.folder.files]
        return self.faults.sorted([self.folder.typed, *names])

    def _stop_at_errors(self) -> None:
        faults = self._sorted()
        if any_error(faults):
            raise InputError(faults)


def _understood(
    data: bytes, shown: str, schema: type[Schema], *, before_work: bool = False
) -> tuple[LoadedYaml, dict[str, Any], tuple[Fault, ...]]:
    """What a file says, what of that is right, and what is wrong with it."""
    loaded = load(data, shown)
    if loaded.data is None:
        return loaded, {}, ()
    if before_work:
        _date_as_done(loaded.data)
    return loaded, *check(_schema(schema), loaded)


def _date_as_done(job: Any) -> None:
    """Fill in the newest day that a job names where its service has no day when it was done."""
    parts = job if isinstance(job, dict) else {}
    service, before, after = (parts.get(name) for name in ("service", "before", "after"))
    if isinstance(service, dict) and service.get("done") is None:
        dated = [service.get("received")]
        dated += [part.get("date") for part in (before, after) if isinstance(part, dict)]
        if days := [day for day in dated if isinstance(day, str)]:
            service["done"] = max(days)


# Jobs share their line set and their shop file. Nobody changes what is handed out.
_kept = lru_cache(maxsize=16)(_understood)


@lru_cache
def _schema(schema: type[Schema]) -> Schema:
    """Build a schema once; it keeps nothing of what it reads."""
    return schema()


def _tolerances(
    job: ValidValues, specification: ValidValues | None, shop: ValidValues | None
) -> Tolerances:
    def of(written: ValidValues | None) -> Any:
        return written.get("tolerances") if written else None

    return effective_tolerances(
        line_groups(specification.values) if specification else (),
        ("the job", of(job)),
        ("the specification", of(specification)),
        ("the workshop", of(shop)),
    )


def _places(
    job: ValidValues,
    shop: ValidValues | None,
    specification: ValidValues | None,
    lengths: Mapping[str, LineLengths],
) -> Mapping[ValuePath, Mark]:
    """Where every value was, by its path: one table for the job and all the files that it names.

    Values of the shop file and the specification file are under `workshop` and `specification`,
    measured lengths under measuring, side, group and point wherever they were written. Points count
    from 1, entries of other lists from 0.
    """
    places = dict(job.loaded.marks)
    for name, part in (("workshop", shop), ("specification", specification)):
        if part and part.loaded is not job.loaded:
            places |= {(name, *path): mark for path, mark in part.loaded.marks.items() if path}
    counted = {_from_one(path): mark for path, mark in places.items()}
    for when, found in lengths.items():
        for (side, point), length in found.items():
            counted[when, side.value, point.group, point.number] = length.mark
    return counted


def _from_one(path: ValuePath) -> ValuePath:
    """Points count from 1, as they do for the technician."""
    last = path[-1] if path else ""
    measured = len(path) == 4 and path[0] in ("before", "after") and path[1] in ("left", "right")
    specified = path[:1] == ("specification",) and path[-2:-1] in (
        ("lengths_mm",),
        ("chord_m",),
        ("stabilo_mm",),
        ("fan_mm",),
    )
    return (*path[:-1], last + 1) if isinstance(last, int) and (measured or specified) else path
