"""Where every value was: one table for the job and all the files that it names."""

from collections.abc import Mapping

from trimscribe.errors import Mark
from trimscribe.marked_yaml import ValuePath
from trimscribe.model.wing import LineKey
from trimscribe.validation.lengths import Length
from trimscribe.validation.values import ValidValues


def places_of(
    job: ValidValues,
    shop: ValidValues | None,
    specification: ValidValues | None,
    lengths: Mapping[str, Mapping[LineKey, Length]],
) -> Mapping[ValuePath, Mark]:
    """Marks by path, points counted from 1.

    Values of the shop file and the specification file are under `workshop` and `specification`,
    measured lengths under measuring, side, group and point wherever they were written. Entries of
    other lists count from 0.
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
