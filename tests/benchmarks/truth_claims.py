"""Which sentence claims what: the one table from a rule's name to its claims.

The rule's name says where to look, the text says what is claimed: each entry finds its words in the
sentence and fails where they are gone. What speaks of a direction must be in one of two tables.
"""

import re

from truth_readers import (
    CHANGE,
    FOUND,
    NOW,
    Reader,
    all_of,
    brake_change,
    brakes_are,
    brakes_level,
    brakes_tight,
    chart_angle,
    close_to_limit,
    close_too,
    doubted,
    fixed,
    in_doubt,
    may_say,
    not_planned,
    not_together,
    outside_count,
    outside_names,
    planned,
    reported_as_done,
    says,
    turns_now,
    uneven,
    unless,
)

__all__ = ["CLAIMS", "SILENT", "SPEAKS_OF_DIRECTION"]

# What speaks of a direction, a difference, an effect or a verdict. A rule whose words do, and that
# is in neither table below, stops the trial.
SPEAKS_OF_DIRECTION = re.compile(
    r"\b(nose[- ](up|down)|left|right|slow\w*|fast\w*|long\w*|short\w*|sooner|later|sharper|softer"
    r"|stall|collapse|within|outside|as planned|of plan|notice|feel|tilt\w*|halves|shrinkage"
    r"|extra length|pull\w*|turns?|differ\w*|straight line|slack|free travel|hang back|overshoot"
    r"|easily|near the limit|as it did before)\b"
)

_LINES_WITHIN = (
    r"line lengths (are (back )?|read )within limits"
    r"|(were measured and are|was measured and is) within limits"
)


_BY_LENGTH = may_say(
    "brakes length",
    FOUND,
    within=r"Even so, the brake lines .*within their own limits of length",
    outside=r"By length, .*outside limits",
)


def _no_change(pattern: str) -> Reader:
    subjects = ("pitch", "twist", "turn", "brakes")
    return all_of(*(fixed(subject, CHANGE, "none", pattern) for subject in subjects))


CLAIMS: dict[str, Reader] = {
    # headline
    "headline_now_outside": all_of(
        outside_count(NOW), may_say("work", CHANGE, some=r"after our work")
    ),
    "headline_outside": all_of(
        outside_count(NOW),
        fixed("work", CHANGE, "nothing", r"Nothing was changed|only work that was"),
    ),
    "headline_brakes": all_of(
        fixed("lines", NOW, "within", _LINES_WITHIN),
        fixed("brakes length", NOW, "outside", r"brakes are not"),
    ),
    "headline_brakes_past": all_of(
        fixed("lines", NOW, "within", _LINES_WITHIN),
        fixed(
            "brakes length",
            FOUND,
            "outside",
            r"As it came, (both brakes were|\w+( \w+)? brake was) outside",
        ),
    ),
    "headline_doubts": all_of(fixed("lines", NOW, "within", _LINES_WITHIN), doubted),
    "headline_in_doubt": in_doubt,
    "headline_risers": fixed("risers", NOW, "outside", r"risers measured outside"),
    "headline_still_up": all_of(
        fixed("lines", NOW, "within", _LINES_WITHIN), fixed("pitch", NOW, "up", r"nose up")
    ),
    "headline_still_down": all_of(
        fixed("lines", NOW, "within", _LINES_WITHIN), fixed("pitch", NOW, "down", r"nose down")
    ),
    "headline_was_up": all_of(
        fixed("lines", NOW, "within", _LINES_WITHIN), fixed("pitch", FOUND, "up", r"nose up")
    ),
    "headline_was_down": all_of(
        fixed("lines", NOW, "within", _LINES_WITHIN), fixed("pitch", FOUND, "down", r"nose down")
    ),
    "headline_back": all_of(
        fixed("lines", NOW, "within", _LINES_WITHIN),
        fixed(
            "any line",
            FOUND,
            "outside",
            r"arrived with (one line|lines) outside|At first .* outside",
        ),
    ),
    "headline_close": fixed("lines", NOW, "close", r"too close to the limit"),
    "headline_left_outside": fixed("any line", NOW, "outside", r"outside limits"),
    "headline_far_off": all_of(
        fixed("lines", NOW, "within", r"Against each other .*within limits"),
        fixed("offset", NOW, "some", r"As a whole they are about [\d.,]+ mm (?:longer|shorter)"),
    ),
    "headline_load_unknown": fixed("lines", NOW, "within", _LINES_WITHIN),
    "headline_unsure": fixed("lines", NOW, "within", _LINES_WITHIN),
    "headline_within": fixed("lines", NOW, "within", _LINES_WITHIN),
    "headline_measured_within": fixed("lines", NOW, "within", _LINES_WITHIN),
    # found
    "found_up": all_of(
        fixed(
            "pitch",
            FOUND,
            "up",
            r"(the front lines the rear lines were short|isers (together )?tilted).*nose up",
        ),
        may_say("speed", FOUND, slower=r"km/h slow\b", faster=r"km/h fast\b"),
    ),
    "found_down": all_of(
        fixed(
            "pitch",
            FOUND,
            "down",
            r"(the rear lines the front lines were short|isers (together )?tilted).*nose down",
        ),
        may_say("speed", FOUND, slower=r"km/h slow\b", faster=r"km/h fast\b"),
    ),
    "found_angle_open": fixed("pitch", FOUND, "open", r"cannot tell"),
    "found_level": may_say("pitch", FOUND, none=r"too little to notice"),
    "found_lines_outside": all_of(outside_count(FOUND), close_too(FOUND)),
    "found_sides_differ": fixed("sides", FOUND, "outside", r"Left and right differed"),
    "found_lines_some": all_of(
        says(
            "lines",
            FOUND,
            within=r"lines? that (we measured|(is|are) not in doubt) (were|was) within"
            r"|, \w+ (was|were) within limits and",
            close=r"lines? that (we measured|(is|are) not in doubt) (were|was) too close",
        ),
        close_too(FOUND),
    ),
    "found_lines_within": all_of(
        says(
            "lines",
            FOUND,
            within=r"lines? (were|was) within limits",
            close=r"lines? (were|was) too close",
        ),
        close_too(FOUND),
    ),
    "found_shrunk": fixed("offset", FOUND, "short", r"lines share a shrinkage"),
    "found_stretched": fixed("offset", FOUND, "long", r"lines share an extra length"),
    "found_far_off": fixed(
        "offset", FOUND, "some", r"lines are about [\d.,]+ mm (?:longer|shorter)"
    ),
    "found_tips_up": fixed("twist", FOUND, "up", r"tips were more nose up"),
    "found_tips_down": fixed("twist", FOUND, "down", r"tips were more nose down"),
    "found_turn": says(
        "turn", FOUND, left=r"pull(ed|s)? to the left", right=r"pull(ed|s)? to the right"
    ),
    "found_halves_apart": fixed("turn", FOUND, "some", r"halves differed"),
    "found_turn_none": fixed("turn", FOUND, "none", r"nothing that would noticeably turn it"),
    "found_turn_open": fixed("turn", FOUND, "some", r"halves differed"),
    "found_brakes_tight": brakes_tight,
    "found_brakes_mixed": all_of(brakes_are(FOUND), _BY_LENGTH),
    "found_brakes_long": all_of(brakes_are(FOUND), _BY_LENGTH),
    "found_brakes_short": all_of(brakes_are(FOUND), _BY_LENGTH),
    "found_brakes_uneven": all_of(
        unless(
            r"One brake was (longer|shorter) than the other one",
            says(
                "brakes uneven",
                FOUND,
                left=r"The (left brake was longer|right brake was shorter)",
                right=r"The (right brake was longer|left brake was shorter)",
            ),
        ),
        _BY_LENGTH,
    ),
    "found_travel_uneven": unless(
        r"One brake had more free travel than the other one",
        says(
            "brakes uneven",
            FOUND,
            left=r"The left brake had more free travel than",
            right=r"The right brake had more free travel than",
        ),
    ),
    "done_travel_uneven": unless(
        r"Now one brake has more free travel than the other one",
        says(
            "brakes uneven",
            NOW,
            left=r"Now the left brake has more free travel than",
            right=r"Now the right brake has more free travel than",
        ),
    ),
    "air_travel_uneven": unless(
        r"One brake (will probably|may) act sooner than the other one",
        says(
            "brakes uneven",
            NOW,
            left=r"The right brake (will probably|may) act sooner than the left",
            right=r"The left brake (will probably|may) act sooner than the right",
        ),
    ),
    "found_brakes_moved": all_of(
        fixed("brakes", FOUND, "none", r"act(ed)? as intended"),
        fixed("brakes length", FOUND, "outside", r"outside limits"),
    ),
    "found_uneven": uneven,
    "found_brakes_outside": fixed("brakes length", FOUND, "outside", r"outside limits"),
    "found_brakes_within": fixed("brakes length", FOUND, "within", r"were within limits"),
    "found_brakes_close": fixed("brakes length", FOUND, "close", r"too close to the limit"),
    "found_brakes_right": all_of(
        fixed("brakes", FOUND, "none", r"brakes were as intended"),
        fixed("brakes length", FOUND, "within", r"brakes were as intended"),
    ),
    # done
    "done_both": reported_as_done,
    "done_longer": reported_as_done,
    "done_shorter": reported_as_done,
    "done_free_travel": brakes_tight,
    "done_unlike": not_planned,
    "done_tips": says("twist", NOW, up=r"more nose up than the", down=r"more nose down than the"),
    "done_nothing": says(
        "work", CHANGE, nothing=r"changed nothing", not_entered=r"No work on the wing was entered"
    ),
    "done_again_outside": outside_count(NOW),
    "done_brakes_outside": fixed("brakes length", NOW, "outside", r"outside limits"),
    "done_again_some": says(
        "lines", NOW, within=r"lines? (are|is) within limits", close=r"lines? (are|is) too close"
    ),
    "done_again_within": says(
        "lines", NOW, within=r"lines? (are|is) within limits", close=r"lines? (are|is) too close"
    ),
    "done_again_carried": says(
        "lines",
        NOW,
        within=r"(All|These|The) \w+( that are not in doubt)? are within limits"
        r"|, \w+ (is|are) within limits and",
        close=r"(All|The) \w+( that are not in doubt)? are too close",
    ),
    "done_again_carried_outside": outside_count(NOW),
    "done_angle_right": fixed("pitch", NOW, "none", r"within [\d.]+° of the maker's"),
    "done_angle_left": says("pitch", NOW, up=r"nose up", down=r"nose down"),
    # in the air
    "air_unchanged": _no_change(r"fly as it did before"),
    "air_no_change": _no_change(r"probably not notice a change"),
    "air_no_change_lines": _no_change(r"probably not notice a change"),
    "air_launch_down": fixed("pitch", CHANGE, "down", r"come up more easily"),
    "air_launch_up": fixed("pitch", CHANGE, "up", r"come up more slowly"),
    "air_launch_same": fixed("pitch", CHANGE, "none", r"feel as before"),
    "air_open": fixed("pitch", CHANGE, "open", r"do not settle"),
    "air_faster": fixed("speed", CHANGE, "faster", r"\bfaster\b"),
    "air_slower": fixed("speed", CHANGE, "slower", r"\bslower\b"),
    "air_brakes_sooner": brake_change("less", r"act sooner"),
    "air_brakes_later": brake_change("more", r"act later"),
    "air_brakes_changed": all_of(
        brake_change("less", r"act sooner than before"),
        brake_change("more", r"the (left|right|other) one later"),
    ),
    "air_still_turns": turns_now,
    "air_turns": turns_now,
    "air_no_turn": all_of(
        fixed("turn", NOW, "none", r"be gone"),
        says("turn", FOUND, left=r"pull to the left", right=r"pull to the right"),
    ),
    "air_turns_changed": says("turn", CHANGE, left=r"more to the left", right=r"more to the right"),
    # before you fly
    "before_outside": outside_names,
    "before_brakes": says(
        "brakes length",
        NOW,
        outside=r"brakes? (are|is) not as the maker specified",
        close=r"brakes? (are|is) too close",
    ),
    "before_brakes_past": says(
        "brakes length",
        FOUND,
        outside=r"As it came, (the brakes were|\w+( \w+)? brake was) not as the maker specified",
        close=r"As it came, (the brakes were|\w+( \w+)? brake was) too close",
    ),
    "before_risers": says(
        "risers",
        NOW,
        outside=r"[Rr]isers? (?:is|are|was|were) not as the maker specified",
        close=r"[Rr]isers? (?:is|are|was|were) too close",
    ),
    "before_over": fixed("lines", NOW, "close", r"too close to|by so little that"),
    "before_still_outside": fixed("any line", NOW, "outside", r"Still outside limits"),
    "before_short_brakes": brakes_are(""),
    # cautions
    "caution_brake_check": may_say(
        "brakes uneven",
        NOW,
        left=r"the right brake (will probably|may) act sooner",
        right=r"the left brake (will probably|may) act sooner",
    ),
    "caution_free_travel": brakes_tight,
    "caution_outside": fixed(
        "any line", NOW, "outside", r"outside (its|their) limits?|left and right by more than the"
    ),
    "caution_still_outside": fixed("any line", NOW, "outside", r"Lines left outside limits"),
    "caution_over": fixed("lines", NOW, "close", r"by so little that (it|they) may be within"),
    "caution_brakes_outside": says(
        "brakes length", NOW, outside=r"Brakes outside limits", close=r"Brakes too close"
    ),
    "caution_brakes_past": says(
        "brakes length",
        FOUND,
        outside=r"As it came.*outside limits",
        close=r"As it came.*too close",
    ),
    "caution_risers": says(
        "risers", NOW, outside=r"Risers outside limits", close=r"Risers too close"
    ),
    "caution_ledger": not_planned,
    "caution_up": fixed("pitch", NOW, "up", r"is nose up.*(slower|So it is by)"),
    "caution_down": fixed("pitch", NOW, "down", r"is nose down.*(faster|So it is by)"),
    "caution_turn": turns_now,
    "caution_turn_open": fixed("turn", NOW, "some", r"Left and right differ"),
    "caution_together": not_together,
    "caution_doubts": doubted,
    # the pages behind
    "chart_angle_both": chart_angle,
    "chart_angle": chart_angle,
    "chart_bent_now": fixed("bent", NOW, "some", r"off the straight line"),
    "chart_bent": fixed("bent", FOUND, "some", r"off the straight line"),
    "chart_close": close_to_limit,
    "changes_differ": not_planned,
    "changes_together": not_together,
    "changes_agree": planned,
    "changes_some_agree": planned,
    "brakes_found": brakes_level(FOUND),
    "brakes_now": brakes_level(NOW),
    "brakes_little_travel": brakes_tight,
    "risers_now": says(
        "risers", NOW, outside=r"outside", within=r"judged are within", close=r"cannot settle"
    ),
    "found_risers_outside": fixed(
        "risers", FOUND, "outside", r"risers? (?:was|were) outside limits"
    ),
    "risers_found": says(
        "risers", FOUND, outside=r"outside", within=r"judged were within", close=r"cannot settle"
    ),
    "record_doubts": doubted,
}

# What is said without a claim about the wing's truth, although the words may look like one.
SILENT: dict[str, str] = {
    "brakes_calculated": "how free travel is calculated",
    "brakes_carried_on": "how free travel is calculated",
    "chart_carried": "how two measurings are tied, nothing of the wing",
    "brakes_judged": "how brakes are judged",
    "brakes_travel_close": "said not to be settled",
    "done_again_alike": "two measurings of what nobody changed; air_unchanged makes the claim",
    "found_travel_unlike": "two measurements that do not agree",
    "done_travel_unlike": "two measurements that do not agree",
    "brakes_unlike_now": "two measurements that do not agree",
    "brakes_unlike_found": "two measurements that do not agree",
    "brakes_unlike_change": "two measurements that do not agree",
    "air_brakes_unlike": "said not to be settled",
    "brakes_travel_open": "not assessed",
    "before_travel_open": "advice",
    "caution_free_travel_open": "not assessed",
    "before_disagree": "advice where two measurings disagree",
    "caution_disagree": "advice where two measurings disagree",
    "air_unexplained": "said not to be settled",
    "found_lines_too_few": "what was measured",
    "headline_too_few": "what was measured",
    "caution_untied": "what was measured",
    "found_one_side": "what was measured",
    "found_lines_in_doubt": "not assessed",
    "found_doubted": "said not to be settled",
    "found_angle_in_doubt": "not assessed",
    "found_turn_in_doubt": "not assessed",
    "done_doubted": "said not to be settled",
    "before_doubted": "advice",
    "decision_released_all_the_same": "what other sentences say",
    "before_travel_close": "said not to be settled",
    "chart_doubted": "said not to be settled",
    "chart_sides": "said not to be settled",
    "done_one_side": "what was measured",
    "found_travel_measured": "two numbers as they were measured, and the specified one",
    "done_travel_measured": "two numbers as they were measured",
    "found_cloth_near": "cloth is not part of the trial",
    "changes_shift_unknown": "not assessed",
    "found_missing": "how many lines were not measured",
    "headline_stop_brakes": "repeats the caution on free travel",
    "headline_other_load": "the trial measures at the specified load",
    "headline_stop_cloth": "cloth is not part of the trial",
    "found_angle_risers": "not assessed",
    "found_turn_unclear": "said not to be settled",
    "found_turn_unknown": "not assessed",
    "found_angle_unknown": "not assessed",
    "found_other_load": "not assessed",
    "found_load_unknown": "says what is not stated",
    "found_limits_wider": "says which limits verdicts rest on",
    "found_weak_line": "strength is not part of the trial",
    "found_strength_close": "strength is not part of the trial",
    "found_torn": "cloth is not part of the trial",
    "found_cloth_both": "cloth is not part of the trial",
    "done_for_angle": "said of a change whose direction found_up and air_launch_down speak of",
    "done_entered": "what the job says, and that measuring does not show it",
    "done_brakes_shorter": "what the job says was done",
    "done_brakes_longer": "what the job says was done",
    "done_brakes_changed": "what the job says was done",
    "air_not_known": "not assessed",
    "brakes_travel_lost": "names what may have made a loss that was measured",
    "before_start": "advice",
    "caution_first_flight": "advice",
    "caution_short_brakes": "advice without a side; before_short_brakes names it",
    "caution_new_trim": "advice for either way",
    "strength_failed": "strength is not part of the trial",
    "caution_strength": "strength is not part of the trial",
    "caution_broken": "strength is not part of the trial",
    "caution_not_proven": "strength is not part of the trial",
    "caution_cloth": "cloth is not part of the trial",
    "caution_missing": "not assessed",
    "changes_unknown": "not assessed",
    "brakes_travel": "advice",
    "decision_simple": "how verdicts come about",
    "decision_unsure": "how verdicts come about",
    "before_not_assessed": "not assessed",
}
