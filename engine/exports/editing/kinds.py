"""What kind of file values are to be written into: only a job takes what belongs to a job."""

from collections.abc import Mapping
from typing import Any

from trimscribe.errors import Fault
from trimscribe.marked_yaml import LoadedYaml
from trimscribe.model.wing import Wing
from trimscribe.schemas.import_map import ImportMapFileSchema
from trimscribe.schemas.job import JobFileSchema
from trimscribe.schemas.kinds import kind_by_keys, with_article
from trimscribe.schemas.shop import ShopFileSchema
from trimscribe.schemas.specification import SpecificationFileSchema

_OTHERS = (SpecificationFileSchema, ShopFileSchema, ImportMapFileSchema)


def is_line_set(data: object) -> bool:
    """Whether a file is a line set by itself, and no job."""
    return isinstance(data, Mapping) and "rows" in data


def not_a_job(loaded: LoadedYaml) -> Fault | None:
    """Why a file is no job: it has no key that jobs alone have, or it is a line set."""
    data: Any = loaded.data
    if not isinstance(data, Mapping):
        return None  # whoever writes into it says so
    own = {*JobFileSchema().fields}.difference(*(schema().fields for schema in _OTHERS))
    kind = kind_by_keys(data)
    if kind == "job" and own.intersection(data):
        return None
    return Fault(
        "not-a-job",
        "No key of this file belongs to a job."
        if kind == "job"
        else f"This file is {with_article(kind)}, not a job.",
        loaded.text.start,
        "Name the job. `trimscribe new JOB --wing LINE-SET` writes a new one.",
    )


def of_another_wing(loaded: LoadedYaml, wing: Wing) -> Fault | None:
    """Why a job is not of this wing: another serial number, maker, model or size, or none."""
    data: Any = loaded.data
    there = data.get("wing") if isinstance(data, Mapping) else None
    there = there if isinstance(there, Mapping) else {}
    for key in ("serial_number", "maker", "model", "size"):
        ours, theirs = str(getattr(wing, key)), str(there.get(key) or "")
        if ours.split() != theirs.split():
            says = f"is “{theirs}”" if theirs else "is empty"
            return Fault(
                "other-wing",
                f"`wing.{key}` {says} in this job; the plan is for “{ours}”.",
                loaded.mark(("wing", key)),
                "A plan goes into the job of the wing that it was made for.",
            )
    return None
