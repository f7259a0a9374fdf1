"""Reports with their truth, for somebody to look for a sentence or picture that is not true.

    python tests/benchmarks/examined.py OUT [--seed N] [--count N]

Draws wings as the truth trial does and fills in the rest of a job by chance: the decision, what the
pilot said, free travel, cloth, strength, inspection, replaced parts. Each report is a folder of
OUT: the job, its line set, the PDF in a theme drawn too, pictures and text of its pages, and
TRUTH.txt, which the report's words are to be held against. A job that is refused is passed over.
"""

import argparse
import shutil
import sys
from pathlib import Path
from typing import Any

import numpy as np
import pypdfium2
import yaml
from truth_jobs import written
from truth_kinds import FACTORS, draw
from truth_readings import Measured, measured
from truth_states import FREE_TRAVEL_MM, State
from truth_wings import TrueWing, wing

from trimscribe import prepare, render
from trimscribe.errors import InputError

SIDES = ("left", "right")
THEMES = ("base", "bench", "linden")
_SCALE = 90 / 72  # pixels a point
_COMPLAINTS = (
    "It feels slow.",
    "It pulls to the left.",
    "It pulls to the right.",
    "It comes up slowly and hangs back.",
    "It shoots ahead on launch.",
    "The brakes feel long.",
)
_PARTS = ("risers", "maillons", "lines and sheaths", "seams", "speed system", "top surface")


def completed(random: np.random.Generator, true: TrueWing, job: dict[str, Any]) -> dict[str, Any]:
    """The job with what a workshop may enter besides, as far as it is true of this wing."""
    for when, state in (("before", true.before), ("after", true.after)):
        if when in job and random.random() < 0.5:
            job[when]["free_travel_mm"] = {
                side: max(0, round(FREE_TRAVEL_MM + state.travel(s) + random.normal(0.0, 2.0)))
                for s, side in enumerate(SIDES)
            }
    job["service"] |= {"received": "2026-10-12", "reason": "Check after two years."}
    if random.random() < 0.7:
        job["service"]["signed_by"] = {"name": "Ines Corvin", "qualification": "line technician"}
    if random.random() < 0.5:
        job["service"]["next_service"] = {"date": "2028-10-16", "hours": 100}
    if random.random() < 0.6:
        job["pilot"] = {"name": "Robin Hale", "all_up_weight_kg": 92}
        if random.random() < 0.6:
            job["pilot"]["reported"] = str(random.choice(_COMPLAINTS))
    _checks(random, job)
    if random.random() < 0.75:
        job["decision"] = _decision(random)
    return job


def _checks(random: np.random.Generator, job: dict[str, Any]) -> None:
    """Cloth, strength, inspection and replaced parts, each on some wings."""
    if random.random() < 0.6:
        limit, at = 20, float(random.choice((12.0, 21.0, 60.0)))
        job["cloth"] = {
            "porosity": {
                "method": "timed suction at the top surface",
                "unit": "s",
                "limit": limit,
                "readings": [
                    {"place": place, "value": max(1, round(float(random.normal(at, at / 10))))}
                    for place in ("centre cell", "left half way out", "right tip")
                ],
            }
        }
        if random.random() < 0.4:
            job["cloth"]["tear"] = {
                "load_n": 5,
                "limit_mm": 5,
                "readings": [{"place": "centre cell", "tear_mm": int(random.choice((0, 2, 6)))}],
            }
    if random.random() < 0.4:
        broke = bool(random.random() < 0.2)
        job["strength"] = [
            {
                "line": "A3",
                "side": str(random.choice(SIDES)),
                "load_n": 640 if broke else 900,
                "required_n": 867,
                "broke": broke,
            }
        ]
        if broke and random.random() < 0.5:
            side = job["strength"][0]["side"]
            reason = "broke when it was tested"
            job["replacements"] = [{"part": "line A3", "side": side, "reason": reason}]
    if random.random() < 0.6:
        chosen = random.permutation(len(_PARTS))[: int(random.integers(1, len(_PARTS)))]
        job["inspection"] = [
            _inspected(
                _PARTS[i], str(random.choice(("good", "worn", "damaged"), p=(0.8, 0.14, 0.06)))
            )
            for i in sorted(chosen)
        ]
    if random.random() < 0.2:
        maillons = {"part": "four soft maillons", "reason": "due by age"}
        job["replacements"] = [*job.get("replacements", []), maillons]


def _inspected(part: str, condition: str) -> dict[str, str]:
    remark = {"worn": "a rubbed place, watched", "damaged": "torn near the edge"}.get(condition)
    return {"part": part, "condition": condition} | ({"remark": remark} if remark else {})


def _decision(random: np.random.Generator) -> dict[str, str]:
    flight = str(
        random.choice(
            ("released", "released with conditions", "not released", "not decided"),
            p=(0.5, 0.2, 0.2, 0.1),
        )
    )
    decision = {"flight": flight, "by": "Ines Corvin"}
    if flight == "released with conditions":
        decision["conditions"] = "First flight at an easy slope in calm air."
    if flight != "not decided":
        decision["reason"] = {
            "not released": "The maker is to be asked first."
        }.get(flight, "Measured and looked at; we judge it fit to fly.")  # fmt: skip
    return decision


def truth(true: TrueWing, found: dict[str, Measured]) -> str:
    """What is so, in words and figures; every line with its true deviation."""
    kind = true.kind
    lines = [f"{name}: {getattr(kind, name)}" for name in FACTORS]
    lines.append(f"planned mm by side and main line: {_work(true, true.planned)}")
    lines.append(f"truly done: {_work(true, true.done)}")
    for moment, state in (("as it came", true.before), ("as it left", true.after)):
        lines += ["", moment.upper(), *_state(state)]
        lines += [f"of all lines less their mean: {_outside(state)}"]
    for when, one in found.items():
        lines += ["", f"measured {when}: {len(one.lines_mm)} of {len(true.layout.row)} lines"]
    lines += ["", "TRUE DEVIATIONS in mm, + longer than specified: line, as it came, as it left"]
    layout = true.layout
    for i, (right, row, number) in enumerate(
        zip(layout.right, layout.row, layout.number, strict=True)
    ):
        name = f"{SIDES[int(right)]} {layout.names[row]}{number}"
        before, after = true.before.lines_mm[i], true.after.lines_mm[i]
        lines.append(f"{name:10} {before:+7.1f} {after:+7.1f}")
    return "\n".join(lines) + "\n"


def _work(true: TrueWing, work: dict[tuple[int, int], float]) -> str:
    return ", ".join(
        f"{SIDES[side]} {true.layout.main_name(main)} {mm:+.1f}"
        for (side, main), mm in sorted(work.items())
    )


def _state(state: State) -> list[str]:
    return [
        f"angle of all lines: {state.pitch:+.2f}° (+ nose up), by lines alone "
        f"{state.pitch_by_lines:+.2f}°",
        f"centre, middle, tip: {', '.join(f'{deg:+.2f}°' for deg in state.bands)}; tips less "
        f"centre {state.twist:+.2f}°",
        f"as the speed sees it: {state.effective:+.2f}° (nose up is slower)",
        f"right less left half: {state.side_angle:+.2f}°, {state.side_mm:+.1f} mm; "
        f"turn {state.turn:+.2f}°/s (+ to the right)",
        f"brakes' free travel more (+) than specified: left {state.travel(0):+.1f} mm, right "
        f"{state.travel(1):+.1f} mm; brake lines themselves {state.brakes_mm[0]:+.1f}, "
        f"{state.brakes_mm[1]:+.1f} mm",
        f"risers by row: left {np.round(state.risers_mm[0], 1).tolist()}, right "
        f"{np.round(state.risers_mm[1], 1).tolist()} mm",
    ]


def _outside(state: State) -> str:
    off = np.abs(state.relative("mean"))
    return f"{int((off > 10).sum())} beyond 10 mm, largest {off.max():.1f} mm"


def made(seed: int, folder: Path) -> bool:
    """Write one report with its truth; False where the job is refused."""
    random = np.random.default_rng(seed)
    true = wing(random, draw(random))
    found = measured(random, true)
    folder.mkdir(parents=True, exist_ok=True)
    path = written(folder, random, true, found)
    job = completed(random, true, yaml.safe_load(path.read_text(encoding="utf-8")))
    text = yaml.safe_dump(job, sort_keys=False, default_flow_style=None, width=100)
    path.write_text(text, encoding="utf-8")
    try:
        report = render(prepare(path), theme=str(random.choice(THEMES)))
    except InputError as error:
        print(f"{seed}: refused: {', '.join(fault.code for fault in error.faults)}")
        shutil.rmtree(folder)
        return False
    (folder / "report.pdf").write_bytes(report.data)
    (folder / "TRUTH.txt").write_text(truth(true, found), encoding="utf-8")
    _pages(folder)
    return True


def _pages(folder: Path) -> None:
    pdf = pypdfium2.PdfDocument(folder / "report.pdf")
    texts = []
    for number, page in enumerate(pdf, 1):
        page.render(scale=_SCALE).to_pil().save(folder / f"page-{number}.png")
        texts.append(page.get_textpage().get_text_range())
    pdf.close()
    (folder / "page.txt").write_text("\n\f\n".join(texts), encoding="utf-8")


def main() -> int:
    """Make as many as are wished, each in a folder named by its seed."""
    parser = argparse.ArgumentParser(description=__doc__.partition("\n")[0])
    parser.add_argument("out", type=Path, help="a new folder")
    parser.add_argument("--seed", type=int, default=0, help="of the first wing (0)")
    parser.add_argument("--count", type=int, default=10, help="how many reports (10)")
    wished = parser.parse_args()
    seed, count = wished.seed, 0
    while count < wished.count:
        count += made(seed, wished.out / str(seed))
        seed += 1
    return 0


if __name__ == "__main__":
    sys.exit(main())
