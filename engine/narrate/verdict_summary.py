"""The verdict summary of page one: each part of the service in a few words.

What was not measured, or not measured again after work on the lines, is never shown as fine.
"""

from collections.abc import Mapping
from dataclasses import dataclass

from trimscribe.formats import LocaleFormats
from trimscribe.model.assessment import Fact, Facts
from trimscribe.model.findings import Verdict
from trimscribe.model.statements import GroupVerdict
from trimscribe.model.wing import Side

_GROUPS = ("lines", "brakes", "cloth", "strength", "risers", "inspection")
_VERDICTS: Mapping[Fact, Verdict] = {verdict.name.lower(): verdict for verdict in Verdict}
# What may bring a group back within limits.
_WORK = {
    "lines": ("adjusted", "replaced"),
    "brakes": ("adjusted", "replaced"),
    "risers": ("replaced", "repaired"),
}
_NEVER_CLEAR = Verdict.CONDITIONAL_PASS  # its mark is not that of a clear pass
_USUAL = {
    Verdict.PASS: "within",
    Verdict.CONDITIONAL_PASS: "close",
    Verdict.CONDITIONAL_FAIL: "close",
    Verdict.FAIL: "outside",
    Verdict.NOT_ASSESSED: "not_assessed",
}


def verdict_summary(
    facts: Facts, labels: Mapping[str, str], formats: LocaleFormats
) -> tuple[GroupVerdict, ...]:
    """One entry per group, always in the same order; its words are labels `words_…`."""
    summary = _Summary(facts, labels, formats)
    return tuple(summary.group(name) for name in _GROUPS)


def _texts(fact: Fact) -> tuple[Fact, ...]:
    return fact if isinstance(fact, tuple) else ()


@dataclass(frozen=True)
class _Summary:
    facts: Facts
    labels: Mapping[str, str]
    formats: LocaleFormats

    def group(self, name: str) -> GroupVerdict:
        verdict, words = {
            "lines": self._lines,
            "brakes": self._brakes,
            "cloth": self._cloth,
            "strength": self._strength,
            "risers": self._risers,
            "inspection": self._inspection,
        }[name]()
        return GroupVerdict(name, self.labels[f"group_{name}"], verdict, words)

    def _lines(self) -> tuple[Verdict, str]:
        now, facts = self._verdict("now_lines"), self.facts
        outside, missing = facts["now_outside"], facts["now_missing"]
        left = self._count("still_outside")
        if left and now.outside and isinstance(outside, int):
            count = self.formats.number(outside + left)
            return Verdict.FAIL, self._words("outside_some_left", count=count, left=left)
        if left:
            return Verdict.FAIL, self._counted("words_outside_left", left)
        # What was assessed as it came is not called not assessed in this service.
        known_before = self._verdict("found_lines") is not Verdict.NOT_ASSESSED
        if now is Verdict.NOT_ASSESSED and facts["now_lines_open"] == "doubts":
            return now, self._words("in_doubt_now" if known_before else "in_doubt")
        if now is Verdict.NOT_ASSESSED and (facts["now_lines_open"] or facts["now_tie_open"]):
            again = "too_few_again" if facts["now_read"] else "not_measured_again"
            return now, self._words(again if known_before else "too_few")
        if now is Verdict.NOT_ASSESSED:
            if facts["now_measured"] and facts["now_load_differs"]:
                return now, self._words("other_tension")
            return self._open("lines", measured=bool(facts["now_measured"]))
        if now.outside and isinstance(outside, int) and outside:
            doubts = "doubts" if facts["now_doubted"] else "lines"
            return now, self._counted(f"words_outside_{doubts}", outside)
        if facts["now_doubted"] and (now.within or now.conditional):
            words = "within_doubts" if now is Verdict.PASS else "close_doubts"
            return (_NEVER_CLEAR if now is Verdict.PASS else now), self._words(words)
        if now is Verdict.PASS and missing:
            return _NEVER_CLEAR, self._words("within_some_missing", missing=missing)
        if now.conditional and missing:
            return now, self._words("close_some_missing", missing=missing)
        if now is Verdict.PASS and (words := self._caveat()):
            return _NEVER_CLEAR, words
        if now is Verdict.PASS and (carried := facts["now_carried"]):
            return _NEVER_CLEAR, self._words("within_carried", count=carried)
        return self._as_now("lines", now)

    def _caveat(self) -> str:
        """What keeps a pass from being a clear one; a green dot is for nothing else."""
        facts = self.facts
        if doubts := self._doubts("lines"):
            return self._words(doubts)
        off = "lines" in _texts(facts["ledger_on"])
        if off or facts["together"] in ("fail", "conditional_fail"):
            return self._words("within_work")
        if facts["now_load_unknown"]:
            return self._words("within_load_unknown")
        if facts["now_lines_unsure"]:
            return self._words("within_unsure")
        if "lines" in _texts(facts["limits_wider"]):
            return self._words("within_wider")
        if facts["now_level_far"]:
            return self._words("within_each_other")
        if facts["tolerance_default"]:
            return self._words("within_default")
        return ""

    def _doubts(self, group: str) -> str:
        """The words for a group within limits that open doubts are about; empty without any."""
        facts = self.facts
        on = (*_texts(facts["doubts_on"]), *_texts(facts["doubts_moved_on"]))
        if group not in on:
            return ""
        doubts, unlike, moved = (facts[f"doubts{which}"] for which in ("", "_unlike", "_moved"))
        # What moved unlike its entry is reported as that.
        alone = isinstance(doubts, int) and isinstance(unlike, int) and doubts - unlike == moved
        return "within_unentered" if moved and alone else "within_doubts"

    def _brakes(self) -> tuple[Verdict, str]:
        now, facts = self._verdict("now_brakes"), self.facts
        if facts["free_travel_low"]:
            sure = "" if facts["free_travel_sure"] else "_perhaps"
            past = bool(facts["free_travel_past"])
            also = "" if past or sure or not now.outside else "_and_outside"
            words = f"travel_past{sure}" if past else f"little_free_travel{sure}{also}"
            return Verdict.FAIL, self._words(words)
        if facts["brakes_outside_past"] and not facts["brake_work"] and not now.outside:
            clear = facts["brakes_past_outside"]
            found = Verdict.FAIL if clear else Verdict.CONDITIONAL_FAIL
            return found, self._words(f"{_USUAL[found]}_as_it_came")
        if now is Verdict.NOT_ASSESSED:
            if self._count("now_brakes_read") and facts["now_load_differs"]:
                return now, self._words("other_tension")
            if words := self._one_brake():
                return now, words
            if words := self._travel_alone():
                return now, words
            known = self._verdict("found_brakes") is not Verdict.NOT_ASSESSED
            if known and self._count("now_brakes_again"):
                return now, self._words("not_judged_again")
            return self._open("brakes", measured=bool(facts["now_brakes_measured"]))
        if facts["now_brakes_doubted"] and not now.outside:
            words = "within_doubts" if now is Verdict.PASS else "close_doubts"
            return (_NEVER_CLEAR if now is Verdict.PASS else now), self._words(words)
        if (missing := facts["now_brakes_missing"]) and not now.outside:
            words = "within" if now is Verdict.PASS else "close"
            verdict = _NEVER_CLEAR if now is Verdict.PASS else now
            return verdict, self._words(f"{words}_some_missing", missing=missing)
        if now is Verdict.PASS and (words := self._brakes_caveat()):
            return _NEVER_CLEAR, self._words(words)
        return self._as_now("brakes", now)

    def _travel_alone(self) -> str:
        """What is known of brakes of which nothing but enough free travel is; empty without any."""
        only = _texts(self.facts["now_brakes_travel_only"])
        if self._travel_before_alone():
            return self._words("not_measured_again")
        if len(only) < len(Side):
            alone = only and not self.facts["now_brakes_measured"]
            return self._words(f"travel_enough_{only[0]}") if alone else ""
        if self.facts["now_travel_uneven"] == "expected":
            return self._words("travel_uneven")
        known = self._verdict("found_brakes") is not Verdict.NOT_ASSESSED
        again = known and not self._count("now_brakes_again")
        return self._words("travel_enough_again" if again else "travel_enough")

    def _travel_before_alone(self) -> bool:
        """Whether free travel was measured as the wing came, and nothing of the brakes since."""
        unknown = self.facts["now_free_travel_mm"] is None and not self._count("now_brakes_read")
        return unknown and bool(self._count("found_brakes_travel_only"))

    def _one_brake(self) -> str:
        """That lines of the other brake are not known, where those of one are."""
        read, before = self.facts["now_brakes_read"], self.facts["found_brakes_read"]
        if not isinstance(read, tuple) or len(read) != 1 or not isinstance(before, tuple):
            return ""
        (other,) = (side.value for side in Side if side.value not in read)
        again = "_again" if self.facts["remeasured"] and other in before else ""
        return self._words(f"{other}_not_measured{again}")

    def _brakes_caveat(self) -> str:
        """What keeps brakes within limits from a clear pass, the gravest first."""
        facts, carried = self.facts, self.facts["now_brakes_carried"]
        caveats = {
            "within_broken": facts["brake_broke"],
            "short_brakes": facts["short_brakes"],
            "uneven": "expected" in (facts["now_brake_uneven"], facts["now_travel_uneven"]),
            **dict.fromkeys(filter(None, [self._doubts("brakes")]), True),
            "travel_unlike": facts["now_brakes_unlike"],
            "within_work": "brakes" in _texts(facts["ledger_on"]),
            "travel_open": facts["free_travel_open"],
            "travel_close": facts["free_travel_close"],
            "within_load_unknown": facts["now_load_unknown"],
            "within_wider": "brakes" in _texts(facts["limits_wider"]),
            "within_not_again": carried and carried == facts["now_brakes_judged"],
        }
        return next((words for words, there in caveats.items() if there), "")

    def _cloth(self) -> tuple[Verdict, str]:
        verdict = self._verdict("cloth")
        tested = [self._verdict(k) for k in ("porosity", "tear") if self.facts[f"{k}_readings"]]
        if verdict is Verdict.NOT_ASSESSED and tested:
            some = any(one is not Verdict.NOT_ASSESSED for one in tested)
            return verdict, self._words("some_no_limit" if some else "no_limit")
        return verdict, self._words(_USUAL[verdict])

    def _strength(self) -> tuple[Verdict, str]:
        verdict = self._verdict("strength")
        words = {Verdict.PASS: "held", Verdict.FAIL: "broke"}
        if verdict is Verdict.PASS and self.facts["strength_broken"]:
            return _NEVER_CLEAR, self._words("held_broken")
        if verdict is Verdict.NOT_ASSESSED and self.facts["strength_broken"]:
            return verdict, self._words("not_proven_broken")
        facts = self.facts
        if verdict is Verdict.NOT_ASSESSED and facts["strength_no_limit"]:
            if facts["strength_no_limit"] == facts["strength_tests"]:
                return verdict, self._words("no_limit")
            if not facts["strength_ended_early"]:
                return verdict, self._words("some_no_limit")
        if verdict is Verdict.NOT_ASSESSED and self.facts["strength_tests"]:
            return verdict, self._words("not_proven")
        return verdict, self._words(words.get(verdict, _USUAL[verdict]))

    def _risers(self) -> tuple[Verdict, str]:
        now, found = self._verdict("now_risers"), self._verdict("found_risers")
        if now is Verdict.NOT_ASSESSED and found is not Verdict.NOT_ASSESSED:
            if found is Verdict.PASS and (missing := self.facts["found_risers_missing"]):
                return _NEVER_CLEAR, self._words("within_as_it_came_some_missing", missing=missing)
            # New maillons and risers may have another length: nobody has measured them.
            some = self.facts["found_risers_in"] == "partly_measured"
            unsure = found is Verdict.PASS and (self.facts["replaced"] or some)
            if found is Verdict.PASS and (doubts := self._doubts("risers")):
                return _NEVER_CLEAR, self._words(doubts)
            verdict = _NEVER_CLEAR if unsure else found
            words = "within_not_again" if unsure else f"{_USUAL[found]}_as_it_came"
            return verdict, self._words(words)
        if now is Verdict.PASS and (missing := self.facts["now_risers_missing"]):
            return _NEVER_CLEAR, self._words("within_some_missing", missing=missing)
        if now is Verdict.PASS and (doubts := self._doubts("risers")):
            return _NEVER_CLEAR, self._words(doubts)
        return self._as_now("risers", now)

    def _inspection(self) -> tuple[Verdict, str]:
        verdict = self._verdict("inspection")
        if verdict is Verdict.NOT_ASSESSED:
            return verdict, self._words("not_assessed")
        known = [
            self._words(c, count=n)
            for c in ("damaged", "worn", "repaired")
            if (n := self._count(c))
        ]
        looked_at = self.facts["inspected"]
        none = self._counted("words_no_damage", looked_at if isinstance(looked_at, int) else 0)
        words = known[0] if known else none
        for more in known[1:]:
            words = self._words("and", words=words, more=more)
        if skipped := self._count("not_checked"):
            words = self._words("and_unchecked", words=words, count=skipped)
            return _NEVER_CLEAR if verdict is Verdict.PASS else verdict, words
        return verdict, words

    def _count(self, fact: str) -> int:
        parts = self.facts[fact]
        return len(parts) if isinstance(parts, tuple) else 0

    def _verdict(self, fact: str) -> Verdict:
        return _VERDICTS[self.facts[fact]]

    def _as_now(self, group: str, now: Verdict) -> tuple[Verdict, str]:
        """Whether work brought it back; without any the two measurings lie beside the limit."""
        before, facts = self._verdict(f"found_{group}"), self.facts
        if not (facts["remeasured"] and now is Verdict.PASS and before.outside):
            return now, self._words(_USUAL[now])
        if any(facts[work] for work in _WORK[group]):
            return now, self._words("corrected")
        return _NEVER_CLEAR, self._words("within_now")

    def _open(self, group: str, *, measured: bool) -> tuple[Verdict, str]:
        """A group without a verdict now: measured without a limit, not again, or never."""
        known_before = self._verdict(f"found_{group}") is not Verdict.NOT_ASSESSED
        words = "no_limit" if measured else "not_assessed"
        if known_before:
            words = "not_measured_again"
        return Verdict.NOT_ASSESSED, self._words(words)

    def _counted(self, key: str, count: int) -> str:
        form = f"{key}_{self.formats.plural(count)}"
        label = self.labels.get(form, self.labels[f"{key}_other"])
        return label.replace("{count}", self.formats.number(count))

    def _words(self, key: str, **values: object) -> str:
        words = self.labels[f"words_{key}"]
        for name, value in values.items():
            words = words.replace(f"{{{name}}}", str(value))
        return words
