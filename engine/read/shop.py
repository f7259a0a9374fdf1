"""The workshop of a job: which shop file holds, and the pictures and fonts that it names."""

import os
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, fields, replace
from pathlib import Path, PurePosixPath
from typing import Any

from trimscribe.errors import Fault, InputError, Mark
from trimscribe.marked_yaml import ValuePath, load
from trimscribe.model.statements import Place, Weight
from trimscribe.model.workshop import InputFile, OwnRule, Person, Workshop, Writing, names_folder
from trimscribe.read.files import JobFolder
from trimscribe.resources.file_access import PICTURE, fetch, font_folder, outside, real_path
from trimscribe.resources.pictures import MEDIA_TYPES, picture_fault
from trimscribe.resources.worlds import nearest_shop
from trimscribe.schemas.faults import FaultList, ValidValues, check
from trimscribe.schemas.shop import ShopFileSchema
from trimscribe.whereabouts import at

WRITING = {field.name for field in fields(Writing)}
_ELSEWHERE = ("$schema", "export_words", "trimscribe", "tolerances", "thresholds", "decision_rule")


@dataclass(frozen=True)
class ShopFile:
    """Where the workshop is written down; `data` is None where the job itself says it.

    `folder` is the one that the pictures, fonts and themes of the workshop are named from, `shown`
    how people call the file, `named` its name among the files of the job.
    """

    folder: Path
    shown: str
    named: str = ""
    data: bytes | Fault | None = None

    @classmethod
    def find(
        cls, job: ValidValues, folder: JobFolder, chosen: Path | None, faults: FaultList
    ) -> "ShopFile":
        """What the caller chose, else what the job says, else the nearest shop file.

        Notes a fault where there is none.
        """
        if chosen is not None:
            data = folder.open_typed(chosen)
            return cls(chosen.parent, chosen.as_posix(), chosen.name, data)
        named = job.get("workshop")
        if not isinstance(named, str):
            named = "" if job.has("workshop") else nearest_shop(folder.job.parent)
            if not named and not job.has("workshop"):
                faults.error(
                    "missing-key",
                    "`workshop` is missing, and no shop.yaml is beside or above the job.",
                    job.mark(),
                    "Write `workshop: shop.yaml`, or put a shop.yaml beside the job.",
                )
        if not named:
            return cls(folder.job.parent, folder.typed)
        data = folder.open(named, job.mark("workshop"))
        place = folder.job.parent / PurePosixPath(named).parent
        return cls(place, folder.shown(named), named, data)


def workshop_of(
    job: ValidValues,
    shop: ValidValues | None,
    found: ShopFile,
    folder: JobFolder,
    faults: FaultList,
) -> Workshop:
    """The workshop with its pictures; what the job says of its own report goes first."""
    if shop is None or "name" not in shop.values:
        return Workshop("")  # a fault has reported it
    values = {name: value for name, value in _stated(shop.values) if name not in _ELSEWHERE}
    for name, value in values.items():
        if isinstance(value, list):
            values[name] = tuple(value)
        elif name in ("logo", "signature"):
            picture = _picture(found.folder, value, shop.mark(name), faults)
            values[name] = picture
            if picture:
                place = (PurePosixPath(found.named).parent / picture.name).as_posix()
                folder.keep(replace(picture, name=place))
        elif name == "fonts":
            values[name] = _fonts(found.folder, value, shop.mark(name), faults)
        elif name == "signatory" and not isinstance(value, Person):
            values[name] = None  # without a name it is a fault that was reported
        elif name == "theme":
            values[name] = _theme(found.folder, value, folder, shop.mark(name), faults)
        elif name == "add_sections":
            values[name] = added_sections(value)
        elif name == "rules":
            values[name] = tuple(own_rules(value))
    for name, value in _stated(job.part("report")):
        if name == "theme":
            value = _theme(folder.job.parent, value, folder, job.mark("report", name), faults)
        values[name] = value
    writing = Writing(**{name: values.pop(name) for name in WRITING & values.keys()})
    return Workshop(writing=writing, **values)


def workshop_alone(path: Path) -> tuple[Workshop, Mapping[ValuePath, Mark]]:
    """The workshop of a shop file that is right by its schema, and where its values are.

    Raises InputError with all that it names and that is not there or cannot be used.
    """
    folder, faults = JobFolder(path), FaultList()
    data = folder.open_job()
    if isinstance(data, Fault):
        raise InputError(data)
    loaded = load(data, path.as_posix())
    values, _ = check(ShopFileSchema(), loaded)
    found = ShopFile(path.parent, path.as_posix(), path.name)
    nothing = ValidValues({}, loaded, ("report",))
    workshop = workshop_of(nothing, ValidValues(values, loaded), found, folder, faults)
    if faults.faults:
        raise InputError(faults.faults)
    return workshop, {("workshop", *place): mark for place, mark in loaded.marks.items()}


def added_sections(written: Mapping[str, Any]) -> tuple[tuple[str, str], ...]:
    """Sections with those that they follow; one without a place is a fault that was reported."""
    placed = ((added, (where or {}).get("after")) for added, where in written.items())
    return tuple((added, after) for added, after in placed if after)


def own_rules(written: Mapping[str, Any]) -> Iterator[OwnRule]:
    """The workshop's own rules of what the schema left right."""
    for name, rule in written.items():
        parts = dict(_stated(rule or {}))
        if "place" in parts and "text" in parts:  # else a fault has reported it
            parts["place"] = Place[parts["place"].upper()]
            parts["weight"] = Weight(parts.get("weight", Weight.PLAIN))
            yield OwnRule(name=name, **parts)


def _stated(values: Mapping[str, Any]) -> Iterator[tuple[str, Any]]:
    return ((name, value) for name, value in values.items() if value is not None)


def _picture(folder: Path, name: str, mark: Mark, faults: FaultList) -> InputFile | None:
    data = fetch(folder, name, PICTURE, mark)
    at((PurePosixPath(mark.file).parent / name).as_posix())
    if not isinstance(data, Fault):
        data = picture_fault(data, name, mark) or data
    if isinstance(data, Fault):
        faults.add(data)
        return None
    return InputFile(name, data, MEDIA_TYPES[PurePosixPath(name).suffix.lower()])


def _fonts(folder: Path, name: str, mark: Mark, faults: FaultList) -> Path | None:
    fonts = font_folder(folder, name, mark)
    if isinstance(fonts, Fault):
        faults.add(fonts)
        return None
    return fonts


def _theme(folder: Path, name: str, job: JobFolder, mark: Mark, faults: FaultList) -> str:
    """A theme's folder as seen from where people are; else the name as it is.

    It lies below the file that names it, or where the job's other files may lie.
    """
    if not names_folder(name):
        return name
    place = Path(os.path.normpath(real_path(folder) / name))
    if not any(place.is_relative_to(real_path(top)) for top in (folder, job.widest)):
        faults.add(outside(name, mark))
        return ""
    seen = (folder / name).as_posix()
    return seen if names_folder(seen) else f"./{seen}"
