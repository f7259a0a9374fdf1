"""Facts that analyses of other packages declare, for rules and phrases to ask for."""

import re
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, fields

from trimscribe.assess.declare import Declared
from trimscribe.assess.facts import DECLARED
from trimscribe.contracts import Analysis, DeclaringAnalysis, TracingAnalysis
from trimscribe.errors import Fault, PluginError, kind_of, nearest
from trimscribe.model.assessment import Fact
from trimscribe.model.findings import Findings
from trimscribe.model.job import Job
from trimscribe.model.origins import Origin, made_of, origin_of

_OF_JOBS = {field.name for field in fields(Job)}
_NAME = re.compile(r"[a-z][a-z0-9_]*")


@dataclass(frozen=True)
class AddedFacts:
    """By the name of each fact, the analysis that declares it and its meaning.

    `origins` say by their paths how the findings behind them come about.
    """

    by_name: Mapping[str, tuple[str, Declared]]
    origins: Mapping[str, Origin]

    @classmethod
    def of(
        cls, analyses: Iterable[Analysis], package_of: Callable[[str], str] = lambda _: ""
    ) -> "AddedFacts":
        """What these analyses declare; PluginError with every clash and name out of form.

        `package_of` tells the package of an analysis by its name.
        """
        found: dict[str, tuple[str, Declared]] = {}
        origins: dict[str, Origin] = {}
        faults: list[Fault] = []
        for analysis in sorted(analyses, key=lambda one: one.name):
            declared = analysis.facts if isinstance(analysis, DeclaringAnalysis) else {}
            inputs = analysis.inputs if isinstance(analysis, TracingAnalysis) else {}
            faults += (
                _wrong_input(analysis.name, name, "") for name in inputs if name not in declared
            )
            for name, meaning in declared.items():
                if not (isinstance(name, str) and _NAME.fullmatch(name)):
                    faults.append(_wrong_name(analysis.name, name))
                elif name in DECLARED or name in found:
                    owner = found[name][0] if name in found else ""
                    faults.append(_clash(analysis.name, name, owner))
                else:
                    trail = f"extra.{analysis.name}.{name}"
                    found[name] = analysis.name, Declared(str(meaning), trail)
                    package = package_of(analysis.name)
                    whose = f"`{analysis.name}`" + (f" of {package}" if package else "")
                    how = f"By the analysis {whose}: {str(meaning).rstrip('.')}."
                    paths = inputs.get(name, ())
                    faults += (
                        _wrong_input(analysis.name, name, path)
                        for path in paths
                        if not (origin_of(path) or path.partition(".")[0] in _OF_JOBS)
                    )
                    origins[trail] = made_of(trail, how, paths)
        if faults:
            raise PluginError(faults)
        return cls(found, origins)

    def values(self, findings: Findings) -> Mapping[str, Fact]:
        """All of them by name, None where an analysis says nothing; PluginError for no value."""
        found: dict[str, Fact] = {}
        faults: list[Fault] = []
        for name, (analysis, _) in self.by_name.items():
            value = findings.extra.get(analysis, {}).get(name)
            if not isinstance(value, str | int | float | None):
                faults.append(_wrong_value(analysis, name, value))
            # A float of a library of numbers compares in ways of its own.
            found[name] = float(value) if isinstance(value, float) else value
        faults += self._unfilled(findings)
        if faults:
            raise PluginError(faults)
        return found

    def _unfilled(self, findings: Findings) -> Iterator[Fault]:
        """Facts without a value, where one is elsewhere or under a name that is nearly theirs."""
        for analysis in dict.fromkeys(owner for owner, _ in self.by_name.values()):
            filled = findings.extra.get(analysis, {})
            empty = [n for n, (of, _) in self.by_name.items() if of == analysis and n not in filled]
            for name in empty:
                for key, held in findings.extra.items():
                    inside = isinstance(held, Mapping) and name in held and key != analysis
                    if inside or key == name:
                        yield _misplaced(analysis, name, f"extra.{key}")
            for name in filled:
                if name not in self.by_name and (meant := nearest(name, empty)):
                    yield _misspelt(analysis, name, meant)

    @property
    def trails(self) -> Mapping[str, tuple[str, ...]]:
        """By fact, the path of the finding that it comes from."""
        return {name: (declared.trail,) for name, (_, declared) in self.by_name.items()}


def _clash(analysis: str, name: str, owner: str) -> Fault:
    other = f"the analysis `{owner}`" if owner else "Trimscribe itself"
    return Fault(
        "fact-clash",
        f"The analysis `{analysis}` declares the fact `{name}`, as {other} does.",
        hint="Begin its name with that of the analysis.",
    )


def _wrong_input(analysis: str, name: str, path: str) -> Fault:
    what = f"`{path}`, which is no finding and no key of a job" if path else "no such fact"
    return Fault(
        "fact-input",
        f"The analysis `{analysis}` names inputs of `{name}`: {what}.",
        hint="Findings are such as `after.lines`, keys such as `pilot.all_up_weight_kg`.",
    )


def _wrong_name(analysis: str, name: object) -> Fault:
    return Fault(
        "fact-name",
        f"The analysis `{analysis}` declares a fact `{name}`.",
        hint="A fact's name is small letters, digits and _, and begins with a letter.",
    )


def _misspelt(analysis: str, name: str, meant: str) -> Fault:
    return Fault(
        "fact-value",
        f"The analysis `{analysis}` gives a value to `{name}`, and none to its fact `{meant}`.",
        hint="Write both alike; else no rule ever hears of it.",
    )


def _misplaced(analysis: str, name: str, where: str) -> Fault:
    return Fault(
        "fact-value",
        f"The analysis `{analysis}` has no value for its fact `{name}`; one is in `{where}`.",
        hint=f"Values of facts belong into `extra` under the name of the analysis, `{analysis}`.",
    )


def _wrong_value(analysis: str, name: str, value: object) -> Fault:
    return Fault(
        "fact-value",
        f"The analysis `{analysis}` gives the fact `{name}` {kind_of(value)}.",
        hint="A number or text belongs there.",
    )
