"""A proposed retrim in the text of a job, and the same once it was done; every comment is kept."""

from collections.abc import Mapping, Sequence
from typing import Any

from trimscribe.errors import Fault, InputError, PlanError
from trimscribe.exports.editing.edit import edit
from trimscribe.exports.editing.yaml_text import block
from trimscribe.marked_yaml import LoadedYaml, load, outline
from trimscribe.schemas.job import JobFileSchema

_KEY = "plan"


def plan_in_text(loaded: LoadedYaml, changes: Sequence[Mapping[str, Any]], *, force: bool) -> str:
    """The text with these changes under `plan`; InputError where another plan is there.

    With `force` that plan is replaced, with the comments inside it.
    """
    data = _mapping(loaded)
    wanted = {"done": False, "changes": [dict(change) for change in changes]}
    there = data.get(_KEY)
    if there is None:
        text = _laid(loaded, {_KEY: wanted})
    elif _same(there, wanted):
        return loaded.text.whole
    elif not force:
        raise InputError.of(
            "plan-differs",
            "Another plan is in this file already.",
            loaded.mark((_KEY,)),
            "Replace it with --force, or delete it.",
        )
    else:
        text = _replaced(loaded, wanted)
    return _checked(loaded, text, {**data, _KEY: wanted})


def done_in_text(loaded: LoadedYaml) -> str:
    """The text with the plan marked as done and its changes among the adjustments."""
    data = _mapping(loaded)
    plan = data.get(_KEY)
    if not isinstance(plan, Mapping) or not plan.get("changes"):
        raise PlanError.of(
            "plan-not-there",
            "The job holds no plan that could be marked as done.",
            loaded.text.start,
            "Write one with `trimscribe plan JOB --into JOB`.",
        )
    if plan.get("done"):
        raise PlanError.of(
            "plan-was-done",
            "The plan in this job is marked as done already.",
            loaded.mark((_KEY, "done")),
            "What was done is under `adjustments`.",
        )
    done = data.get("adjustments") or []
    _refuse_twice(loaded, done, plan["changes"])
    wanted = {**plan, "done": True}
    text = _laid(loaded, {"adjustments": [*done, *plan["changes"]], _KEY: {"done": True}})
    return _checked(loaded, text, {**data, "adjustments": [*done, *plan["changes"]], _KEY: wanted})


def _mapping(loaded: LoadedYaml) -> Mapping[str, Any]:
    if not isinstance(loaded.data, Mapping) or loaded.text.file.lower().endswith(".json"):
        raise InputError(_unsafe(loaded))
    return loaded.data


def _refuse_twice(
    loaded: LoadedYaml, done: Sequence[Mapping[str, Any]], changes: Sequence[Mapping[str, Any]]
) -> None:
    """A line has one adjustment on each side, from the first loop to the last."""
    there = {key for entry in done for key in _keys(entry)}
    faults = [
        Fault(
            "line-adjusted-twice",
            f"“{change['line']}” is among the adjustments already.",
            loaded.mark((_KEY, "changes", number)),
            "Write one entry by hand, from the first loop to the last.",
        )
        for number, change in enumerate(changes)
        if there & _keys(change)
    ]
    if faults:
        raise InputError(faults)


def _keys(entry: Mapping[str, Any]) -> set[tuple[Any, str]]:
    side = entry.get("side")
    return {(entry.get("line"), s) for s in (("left", "right") if side == "both" else (str(side),))}


def _same(there: Any, wanted: Mapping[str, Any]) -> bool:
    return (
        isinstance(there, Mapping)
        and not there.get("done")
        and there.get("changes") == wanted["changes"]
    )


def _laid(loaded: LoadedYaml, wanted: Mapping[str, Any]) -> str:
    names = list(JobFileSchema().fields)
    return edit(
        loaded,
        wanted,
        lambda path: ("done", "changes") if path == (_KEY,) else names,
        lambda _: ("line", "side"),
        force=True,
    ).text


def _replaced(loaded: LoadedYaml, wanted: Mapping[str, Any]) -> str:
    """The lines of the old plan give way to those of the new one."""
    text, root = loaded.text.whole, outline(loaded.text)
    key = loaded.keys.get((_KEY,))
    if root is None or root.flow or root.entries is None or key is None:
        raise InputError(_unsafe(loaded))
    ends = "\r\n" if "\r\n" in text else "\n"
    lines = text.splitlines(keepends=True)
    start = sum(len(line) for line in lines[: key.line - 1])
    end = text.find("\n", root.entries[_KEY].end)
    new = "".join(line + ends for line in block(_KEY, wanted, root.column))
    return text[:start] + new + ("" if end < 0 else text[end + 1 :])


def _checked(loaded: LoadedYaml, text: str, wanted: Mapping[str, Any]) -> str:
    """The new text, if it says what was wanted and nothing else."""
    found = load(text.encode(), loaded.text.file)
    if found.faults or found.data != wanted:
        raise InputError(_unsafe(loaded))
    return text


def _unsafe(loaded: LoadedYaml) -> Fault:
    return Fault(
        "layout-not-safe",
        "A plan cannot be written into this file without touching anything else.",
        loaded.text.start,
        "Write it by hand, as `trimscribe plan JOB` shows it.",
    )
