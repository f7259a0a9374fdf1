"""New jobs and line sets, with a comment at everything that is to be filled in."""

import os
from collections.abc import Mapping
from pathlib import Path, PurePath

from trimscribe.errors import InputError, Mark
from trimscribe.exports.editing.yaml_text import flow, scalar
from trimscribe.exports.files import as_text, as_typed, open_file
from trimscribe.exports.line_sets import CheckedLineSet
from trimscribe.resources.file_access import real_path

_NEAREST = (
    "# workshop: shop.yaml          # left out: the nearest shop.yaml beside or above this file"
)
_JOB = """\
# One service of one wing. ~ stands for what is not filled in; take the # off what you want to say.
# Whatever is left out is shown as "not assessed", never as fine.
# `trimscribe check {command}` says what must not be missing.
trimscribe: 1
{workshop}

service:
  number: ~                    # the workshop's number of this service
  received: ~                  # dates as year-month-day
  done: ~
  reason: ~                    # why the wing came in
#  technician: {{name: , qualification: }}
#  signed_by: {{name: , qualification: }}
  next_service: {{date: ~, hours: ~}}  # whichever comes first

# pilot:
#   name:
#   all_up_weight_kg:
#   reported:                  # what the pilot told the workshop about the wing
#   answer:                    # what was found about that

wing:
  maker: {maker}
  model: {model}
  size: {size}
  serial_number: ~
  year: ~
  hours: ~
  flights: ~
  certification: ~
  weight_min_kg: ~
  weight_max_kg: ~
  trim_speed_km_h: ~

specification: {specification}
common_offset: mean            # mean, median, none, or {{row: A}}

before:                        # lengths in mm, centre to tip; ~ = not measured
  date: ~
  method: ~                    # how it was measured
  instrument: ~                # with what, and when that was last checked
  tension_n: ~                 # the line set's lengths hold at {tension}
  uncertainty_mm: ~            # standard uncertainty of one length
#  tied: {{default: single loop}}  # loops as found, for `trimscribe plan`; others by line
#  free_travel_mm: {{left: , right: }}  # brake travel before the trailing edge moves
#  risers:                     # each as measured, by name
#    left: {{A: {{trim_mm: , accelerated_mm: }}}}
#    right: {{A: {{trim_mm: , accelerated_mm: }}}}
  left:
{lines}
  right:
{lines}

# After work: a block `after` with the same keys as `before` (alone, where nothing was measured
# before it), and what was changed.
# loops:                       # what each loop takes up in mm, measured at your bench
#   main maillon: {{single loop: , double loop: , "lark's foot": , pile hitch: }}
# adjustments:
#   - {{line: , side: both, loop_before: , loop_after: }}
# replacements:
#   - {{part: , side: , reason: }}  # a line such as A3, or another part

# cloth:
#   porosity: {{unit: s, limit: , readings: [{{place: , value: }}]}}  # or unit: L/m2/min
#   tear: {{load_n: , limit_mm: , readings: [{{place: , tear_mm: }}]}}
# strength:
#   - {{line: , side: , load_n: , required_n: , broke: }}  # broke: true or false
inspection: []                 # such as {{part: seams, condition: good}}
# decision: {{flight: }}         # released, released with conditions, not released, not decided
notes: ~                       # anything else the pilot should know
"""

_LINE_SET = """\
# The maker's line set of one model and size. Fill in what is after ~.
# Lengths are in mm, positions in metres aft of the leading edge, tension in newtons.
# Points count from the centre of the wing outwards.
trimscribe: 1
maker: ~
model: ~
size: ~
source: {source}  # where these lengths come from; better the maker's own document
revision: ~
includes_risers: ~             # true or false
tension_n: ~                   # at which the maker measures
span_m: ~

rows:                          # front to rear; add chord_m, the positions, for angles
{rows}
{rest}
# risers:
#   A: {{trim_mm: , accelerated_mm: }}
# cascade:                     # each main line with the points, or the lines, that hang on it
#   a1: [A1, A2]

tolerances:
  default_mm: ~
  source: ~

# For `trimscribe plan`, what the maker allows at a retrim:
# retrim: {{loops: [single loop, double loop], never: [], most_steps: 1}}
# trim_rules:
#   - {{name: front to rear, plus: [A1-A4], minus: [C1-C4], side: each, target_mm: 0, within_mm: 4}}
"""


# Keys of `brake`; lengths of the fan run to the handle's mark, the main line included.
_BRAKE = ("fan_mm", "main_mm", "trailing_edge_m", "free_travel_mm")


def new_job(path: Path, line_set: CheckedLineSet, shop: Path | None = None) -> str:
    """The text of a new job at `path`, with every point of its line set in place.

    Without a shop file the job names none: the nearest `shop.yaml` holds. InputError when the shop
    file that is named is not there.
    """
    if shop is not None:
        open_file(shop)
    workshop = _NEAREST if shop is None else f"workshop: {scalar(_relative(shop, path.parent))}"
    values = line_set.values
    tension = values.get("tension_n")
    return _JOB.format(
        command=as_typed(path.name),
        workshop=workshop,
        maker=scalar(values["maker"]),
        model=scalar(values["model"]),
        size=scalar(values["size"]),
        specification=scalar(_relative(line_set.path, path.parent)),
        tension=f"{tension:g} N" if tension else "a tension that it does not state",
        lines="\n".join(
            f"    {scalar(group)}: {flow([None] * len(row))}"
            for group, row in line_set.lengths.items()
        ),
    )


def _relative(path: Path, folder: Path) -> str:
    """A file as the job names it: from the job's folder, with / between folders."""
    way = PurePath(os.path.relpath(real_path(path), real_path(folder))).as_posix()
    if as_text(way) != way:
        message = f"“{way}” cannot be named in a file: its bytes are not UTF-8."
        hint = "Rename what is called so, or copy the file to where the job will be."
        raise InputError.of("name-not-text", message, Mark(path.as_posix()), hint)
    return way


def new_line_set(export: Path, wanted: Mapping[str, object]) -> str:
    """The text of a new line set with imported lengths, `wanted` as they are in the file."""
    rows = wanted.get("rows")
    lines = []
    for name, row in rows.items() if isinstance(rows, Mapping) else ():
        lines += [f"  {scalar(name)}:", f"    lengths_mm: {flow(row['lengths_mm'])}"]
    rest = []
    if "stabilo_mm" in wanted:
        rest += ["", f"stabilo_mm: {flow(wanted['stabilo_mm'])}"]
    if isinstance(brake := wanted.get("brake"), Mapping):
        rest += ["", "brake:", *(f"  {key}: {flow(value)}" for key, value in brake.items())]
    inside = brake if isinstance(brake, Mapping) else {}
    # What the table did not have, to be filled in.
    rest += [] if inside else ["", "# brake:"]
    rest += [f"#  {key}:" for key in _BRAKE if key not in inside]
    rest += [] if "stabilo_mm" in wanted else ["", "# stabilo_mm: []"]
    return _LINE_SET.format(
        source=scalar(f"imported from {export.name}"), rows="\n".join(lines), rest="\n".join(rest)
    )
