"""What must never be said or drawn together on one report: the table of pairs.

A report is put down as lines of text (`report_lines.py`), each with what it is in front:

    fact NAME                           a fact that is true, or neither nought nor empty
    claim SUBJECT WHEN STATUS WAY VERDICT
    strip GROUP VERDICT | WORDS         the verdict summary on page one
    rule NAME | TITLE. TEXT             a sentence or a caution
    figure NAME | TEXT                  a picture's labels, caption and description
    page | TEXT                         what HTML, JSON, PDF or the PNG's description hold

Two patterns exclude each other when no report may hold a line of both. Written from the trade: what
a pilot or a colleague would call a contradiction; no outside source.
"""

from typing import NamedTuple

__all__ = ["PAIRS", "Pair"]


class Pair(NamedTuple):
    """Two regular expressions, and why no report may have a line of each."""

    one: str
    other: str
    why: str


# --- names for what many pairs speak of
WITHIN = (
    r"^rule (headline_(within|measured_within|back|brakes|doubts|load_unknown)"
    r"|headline_(still|was)_(up|down)|done_again_(within|some|carried)) "
)
OUTSIDE = (
    r"^rule (headline_(now_outside|outside)|done_again_(carried_)?outside"
    r"|before_outside|caution_outside) "
)
GREEN = r"^strip {} pass "
CHANGED = r"^rule air_(launch_up|launch_down|faster|slower|brakes_\w+|turns|turns_changed|no_turn) "
SAME = r"^rule air_no_change(_lines)? "
STOP = r"^rule (headline_stop_\w+|before_stop) "
UP, DOWN = (
    rf"^rule (headline_still_{way}|caution_{way}) |^rule done_angle_left \|.*nose {way}"
    for way in ("up", "down")
)

PAIRS: tuple[Pair, ...] = (
    # --- line lengths
    Pair(WITHIN, OUTSIDE, "all lines within, and some outside, now"),
    Pair(
        WITHIN,
        r"^strip lines (fail \| (?!outside limits, not measured again)|not assessed )",
        "letter within, strip not",
    ),
    Pair(OUTSIDE, r"^strip lines (?!fail )", "letter outside, strip not"),
    Pair(
        r"^strip \w+ conditional \w+ \|.*outside",
        r"^fact (found|now)_checked$",
        "close by its mark, outside by its words",
    ),
    Pair(
        r"^rule headline_\w+ \|.*within limits\.",
        r"^fact now_close$",
        "a plain yes, and lines too close to be sure",
    ),
    Pair(
        r"^rule done_again\w* \|.* within limits\.( |$)",
        r"^fact now_close$",
        "measured again within limits, and lines too close to be sure",
    ),
    Pair(
        r"^rule found_lines_\w+ \|.* within limits\.( |$)",
        r"^fact found_close$",
        "within limits as it came, and lines too close to be sure",
    ),
    Pair(
        r"^rule caution_risers \| Risers too close",
        r"^rule (before_risers|headline_risers) \|.*(not as the maker|outside limits)",
        "risers too close to be sure, and outside",
    ),
    Pair(
        r"^rule caution_brakes_outside \| Brakes too close",
        r"^rule (before_brakes|headline_brakes|done_brakes_outside) \|.*"
        r"(not as the maker|are not\.|outside limits)",
        "brakes too close to be sure, and outside",
    ),
    Pair(
        r"^fact still_outside$",
        r"^rule (headline_(within|measured_within|back|brakes|doubts|close|(still|was)_(up|down))"
        r"|done_again_(within|carried)) ",
        "outside as far as is known, and within",
    ),
    Pair(r"^fact still_outside$", r"^strip lines (?!fail )", "the same on the strip"),
    Pair(r"is not assessed[.:]", r"Expect it to feel", "not assessed, and expected"),
    Pair(
        r"The wing was measured again\.",
        r"^fact now_(missing|carried)$",
        "measured again, and only in part",
    ),
    Pair(
        r"risers were not all measured",
        r"^rule found_risers_open \| The risers were not measured",
        "not all, and none",
    ),
    Pair(
        r"taking out the common offset",
        r"nothing taken out",
        "a common offset taken out, and nothing taken out",
    ),
    Pair(
        r"^rule caution_turn_open ",
        r"^claim turn now none ",
        "halves differ now, and no claim of it",
    ),
    Pair(
        r"In the lines that hold the wing we found nothing",
        r"^fact found_missing$",
        "nothing in the lines, and some not measured",
    ),
    Pair(
        r"^rule found_reported\w* \|.*does not explain it",
        r"^rule found_(up|down|turn|torn|tips_(up|down)|halves_apart|lines_outside|risers_outside"
        r"|brakes_(mixed|long|short|uneven|outside|tight)|damage|weak_line|cloth_both|porous) ",
        "nothing that explains what the pilot felt, and something that may",
    ),
    Pair(
        r"^rule chart_bent(_now)? \|.*through all rows",
        r"^fact now_rows_missing$",
        "all rows, and one not measured",
    ),
    Pair(
        r"^rule found_halves_apart ",
        r"^claim turn found none ",
        "halves differed, and no claim of it",
    ),
    Pair(
        r"measured value looks wrong",
        r"^rule caution_doubts \|(?!.*(measured length|lengths look wrong, measured))",
        "a measured value in doubt, and none",
    ),
    # --- lines in doubt
    Pair(
        r"^fact now_doubted$",
        r"^rule (headline_(within|measured_within|back|brakes|doubts|close|(still|was)_(up|down))"
        r"|done_again_within) ",
        "a line in doubt, and a plain answer for all",
    ),
    Pair(
        r"^fact now_doubted$",
        r"^rule (done_again\w*|headline_\w+|before_\w+) \|"
        r".*\b[Aa]ll (?!others )[\w-]+ (lines )?are\b",
        "a line in doubt, and a count of all",
    ),
    Pair(r"^fact now_doubted$", r"^strip lines pass ", "the same on the strip"),
    Pair(
        r"^fact found_doubted$",
        r"^rule found_lines_\w+ \|.*\b[Aa]ll [\w-]+ lines\b(?! that are not in doubt)",
        "a line in doubt as it came, and a count of all",
    ),
    Pair(
        r"^fact found_pitch_in_doubt$",
        r"^rule (found_(up|down|level|angle_open|angle_risers)|chart_angle\w*) ",
        "an angle that hangs on a doubt, and an angle",
    ),
    Pair(
        r"^fact (found|now)_doubted$",
        r"^rule caution_doubts \|(?!.*no verdict)",
        "a line in doubt, and a caution that does not say what becomes of it",
    ),
    Pair(
        r"^rule found_lines_in_doubt ",
        r"^rule (caution_untied|before_untied|headline_too_few|found_lines_too_few) ",
        "too few because of a doubt, and too few measured",
    ),
    Pair(
        r"^rule found_lines_(within|some) ",
        r"^rule found_(lines_outside|sides_differ) ",
        "as it came, both within and outside",
    ),
    Pair(
        r"back within limits",
        r"^claim lines found \S+ \S* (pass|conditional pass|not assessed)$",
        "back within, though it never was outside",
    ),
    Pair(
        r"\bstill outside\b",
        r"^claim lines found \S+ \S* (pass|not assessed)$",
        "still outside, though it was not before",
    ),
    Pair(
        r"^rule done_tips \|.* are now more",
        r"^rule (air_no_change(_lines)?|done_angle_right) ",
        "tips turned against the centre, and nothing to notice",
    ),
    Pair(
        r"Nothing was changed|We changed nothing",
        r"^fact (adjusted|replaced)$",
        "nothing changed, and work on the job",
    ),
    Pair(
        r"Nothing was changed|We changed nothing",
        r"We (let out|shortened|replaced|adjusted|also adjusted)",
        "the same in words",
    ),
    Pair(
        r"[Nn]othing was changed|We changed nothing",
        r"^fact repaired$",
        "nothing changed, and a part repaired",
    ),
    Pair(r"after (our|this) work", r"We changed nothing", "after work that nobody did"),
    Pair(r"\b[Aa]ll \w+ lines were within", r"^fact found_missing$", "all, and some not measured"),
    Pair(r"\b[Aa]ll \w+ (lines )?are within", r"^fact now_missing$", "all, and some not measured"),
    Pair(
        r"\b[Aa]ll \w+ (lines )?are within",
        r"This report says nothing about (it|them)",
        "all, and lines left out",
    ),
    Pair(r"^rule headline_within ", r"^fact now_missing$", "the line set, and some not measured"),
    Pair(
        r"^rule headline_(within|back|measured_within|(was|still)_(up|down)) ",
        r"^fact doubts$",
        "a plain yes, and values in doubt",
    ),
    Pair(
        r"[Ii]ts lines were not measured\.|The lines were not measured\.",
        r"lines? (were|are|is) (back )?within limits",
        "lines not measured, and within limits",
    ),
    Pair(
        r"^rule headline_lines_not_measured ", r"^fact now_measured$", "not measured, but they were"
    ),
    Pair(
        r"^rule headline_lines_not_measured \|.*(Of its lines only|lines were not measured\.)",
        r"^fact found_measured$",
        "not measured, but they were as it came",
    ),
    Pair(
        r"^rule (headline|before|caution)_brakes_past \|.*not measured again",
        r"^fact brakes_past_again$",
        "brake lines not measured again, but they were",
    ),
    Pair(
        r"^rule before_travel_not_measured ",
        r"^rule (found|done)_travel_measured |^fact free_travel_read$",
        "free travel not measured, but it was",
    ),
    Pair(
        r"^rule done_again_carried\w* \|.*we measured no lines",
        r"^fact now_brakes_again$",
        "no lines measured the second time, but those of brakes were",
    ),
    Pair(
        r"^rule found_not_measured ",
        r"^rule found_(up|down|level|turn|tips_\w+|lines_\w+) ",
        "not measured as it came, and something found",
    ),
    Pair(
        r"^rule headline_nothing ",
        r"^fact (found_checked|now_checked|inspected)$",
        "nothing measured, and something checked",
    ),
    Pair(
        r"^rule found_lines_too_few ",
        r"^rule found_(lines_(within|outside|some)|sides_differ) ",
        "too few to judge, and judged",
    ),
    Pair(
        r"^rule found_lines_too_few ",
        r"^rule found_(shrunk|stretched|far_off|uneven) ",
        "too few to know what all share, and reported",
    ),
    Pair(r"^rule (caution|before)_untied ", WITHIN, "not assessed, and within limits"),
    Pair(
        r"^rule (caution|before)_disagree ",
        r"^rule (air_no_change|air_unchanged|done_again_carried) ",
        "two measurings that do not agree, and compared all the same",
    ),
    Pair(r"^rule before_rest ", r"^rule headline_within ", "some lines not known, and all within"),
    Pair(r"^rule (caution|before)_untied ", OUTSIDE, "not assessed, and outside limits"),
    Pair(
        r"^rule (caution|before)_untied ",
        r"^strip lines (pass|conditional pass) ",
        "not assessed, and the strip within",
    ),
    Pair(
        r"Not assessed in this service: [^.]*line lengths",
        r"^strip lines (pass|conditional pass|fail) ",
        "lines not assessed, and a verdict",
    ),
    Pair(
        r"Not assessed in this service: [^.]*line lengths", WITHIN, "lines not assessed, and within"
    ),
    Pair(
        r"^strip lines not assessed \| not assessed",
        r"^rule (found_lines_(within|some|outside)|found_sides_differ) ",
        "not assessed in this service, and judged as it came",
    ),
    Pair(
        r"^rule before_nothing_assessed ",
        r"^strip \w+ (pass|conditional pass|fail) ",
        "nothing says so, and a verdict",
    ),
    Pair(
        r"^figure span_charts \|.*, (now|measured):[^.]*, [1-9]\d* outside",
        r"^strip lines pass ",
        "chart outside, strip green",
    ),
    Pair(
        r"^figure span_charts \|.*, (now|measured):[^.]*, [1-9]\d* outside",
        WITHIN,
        "chart outside, letter within",
    ),
    # --- which measuring is meant, and at which tension
    Pair(
        r"^rule (headline|before|caution|done_again)_other_load ",
        rf"{WITHIN}|{OUTSIDE}|^rule (headline_close|headline_not_again|caution_not_again) ",
        "lines not judged as they are, and a verdict, or not measured again",
    ),
    Pair(
        r"^rule (headline|before|caution|done_again)_other_load ",
        r"^strip (lines|brakes) .*not measured again|[Ll]ines were not measured again",
        "measured again at another tension, and not measured again",
    ),
    Pair(
        r"^fact now_load_unknown$",
        r"^rule headline_\w+ \|.* are (back )?within limits",
        "a firm headline, and the tension was not stated",
    ),
    Pair(
        r"^strip brakes .*left brake not measured again",
        r"We (let out|shortened) the (left brake|brakes:)",
        "not measured again, and moved by what was measured",
    ),
    Pair(
        r"^strip brakes .*right brake not measured again",
        r"We (let out|shortened) the (right brake|brakes:)",
        "the same of the other brake",
    ),
    Pair(
        r"^rule decision_(released|conditions) ",
        r"^rule (caution|before)_\w+ \|.*(Do not fly before (?!the workshop has released)"
        r"|(?<!If lines were replaced, h)(?<!If lines were among them, h)(?<=[Hh])ave [^.:]*"
        r"(measured|checked)[^.]*before you fly)",
        "released without a word on it, and advised against",
    ),
    # --- a green mark is for a clear and whole pass
    *(
        Pair(GREEN.format("lines"), rf"^fact {fact}$", f"lines green, and {why}")
        for fact, why in (
            ("now_load_unknown", "tension unknown"),
            ("now_load_differs", "another tension"),
            ("now_missing", "lines missing"),
            ("now_lines_unsure", "2 u beyond the limit"),
            ("tolerance_default", "no maker's limit"),
            ("doubts", "values in doubt"),
            ("ledger_differs", "work unlike its plan"),
            ("now_tie_open", "measurings not tied"),
            ("now_close", "lines too close to tell"),
        )
    ),
    Pair(GREEN.format("lines"), r"^claim work service \S+ \S* fail$", "lines green, work off"),
    Pair(
        GREEN.format("lines"),
        r"^rule (headline|done|caution)_not_again ",
        "lines green, not measured after work",
    ),
    Pair(GREEN.format("brakes"), r"^fact now_brakes_missing$", "brakes green, lines missing"),
    Pair(GREEN.format("brakes"), r"^fact free_travel_low$", "brakes green, too little travel"),
    Pair(
        GREEN.format("brakes"),
        r"^rule (before|caution)_(short_brakes|brakes_outside|brakes) ",
        "brakes green, and a caution about them",
    ),
    Pair(
        GREEN.format("brakes"),
        r"^rule (headline_stop_brakes|caution_free_travel) ",
        "brakes green, and grounded for them",
    ),
    Pair(
        GREEN.format("risers"),
        r"^rule (headline|before|caution)_risers ",
        "risers green, and a caution about them",
    ),
    Pair(
        GREEN.format("cloth"),
        r"^rule (headline_stop_cloth|caution_cloth|found_(porous|torn)) ",
        "cloth green, and grounded for it",
    ),
    Pair(
        GREEN.format("strength"),
        r"^rule (headline_stop_strength|caution_strength|found_weak_line) ",
        "strength green, and a line broke",
    ),
    Pair(
        GREEN.format("strength"),
        r"^rule caution_broken ",
        "strength green, and a broken line of which nobody knows whether it was replaced",
    ),
    Pair(
        GREEN.format("inspection"),
        r"^rule (headline_stop_damage|caution_damage|found_damage) ",
        "inspection green, and damage",
    ),
    # --- nose up, nose down
    Pair(r"^rule found_up ", r"^rule found_(down|level|angle_open|angle_unknown) ", "one angle"),
    Pair(r"^rule found_down ", r"^rule found_(level|angle_open|angle_unknown) ", "one angle"),
    Pair(r"^rule found_level ", r"^rule found_angle_(open|unknown) ", "one angle"),
    Pair(UP, DOWN, "nose up and nose down, now"),
    Pair(
        r"^rule headline_was_up ",
        r"^rule (found_(down|level|angle_\w+)|caution_(up|down)) ",
        "came in nose up and is right now, and otherwise",
    ),
    Pair(
        r"^rule headline_was_down ",
        r"^rule (found_(up|level|angle_\w+)|caution_(up|down)) ",
        "came in nose down and is right now, and otherwise",
    ),
    Pair(r"^rule done_angle_right ", rf"{UP}|{DOWN}", "right now, and still off"),
    Pair(
        r"^figure side_view \|.*Before: \S+ nose",
        r"^claim pitch found (open|not assessed|blocked) ",
        "the picture points where the claim is open",
    ),
    Pair(
        r"^figure side_view \|.*(Now|As measured): \S+ nose",
        r"^claim pitch now (open|not assessed|blocked) ",
        "the same for now",
    ),
    Pair(
        r"^figure side_view \|.*Before: \S+ nose up",
        r"^rule found_(down|angle_open) ",
        "picture up, letter not",
    ),
    Pair(
        r"^figure side_view \|.*Before: \S+ nose down",
        r"^rule found_(up|angle_open) ",
        "picture down, letter not",
    ),
    Pair(r"^figure side_view \|.*(Now|As measured): \S+ nose up", DOWN, "picture up, letter down"),
    Pair(r"^figure side_view \|.*(Now|As measured): \S+ nose down", UP, "picture down, letter up"),
    Pair(
        r"^rule chart_angle_both \|.*now it is(, by [^,]*,)? within",
        r"^figure side_view \|.*Now: \S+ nose",
        "page behind open, picture not",
    ),
    Pair(
        r"^rule chart_angle_both \|.*[Aa]s it came(, by [^,]*,)? the wing was within",
        r"^figure side_view \|.*Before: \S+ nose",
        "page behind open, picture not",
    ),
    Pair(
        r"^rule chart_angle_both \|.*now it is(, by [^,]*,)? \S+ nose",
        r"^figure side_view \|.*Now: within",
        "page behind settled, picture not",
    ),
    Pair(
        r"^rule chart_angle \|.*within \S+ of the maker's angle",
        rf"{UP}|{DOWN}|^rule found_(up|down) ",
        "too near to tell, and reported",
    ),
    Pair(
        r"^rule found_(angle_open|level) ",
        r"^rule chart_angle(_both)? \|.*which way is not assessed",
        "which way is open for the size of it, and for risers",
    ),
    Pair(
        r"^rule found_angle_risers ",
        r"^rule chart_angle \|.*which way is not settled",
        "the same the other way round",
    ),
    # --- what an angle is taken from
    Pair(
        r"^fact found_angle_side$",
        r"^rule (found_(up|down|level|angle_risers)|chart_angle) \|(?!.* half alone)",
        "one half measured, and the angle of the wing",
    ),
    Pair(
        r"^fact now_angle_side$",
        r"^figure side_view \|.*(Now|As measured)(:|, (?!(lines of the )?(left|right) half only))",
        "the same beside the picture",
    ),
    Pair(
        r"^fact found_by_lines$",
        r"^rule (found_(up|down|angle_risers)|chart_angle) \|"
        r"(?!.*([Bb]y its lines|[Bb]y the lines of|isers (together )?tilted))",
        "risers not measured, and the angle of the wing",
    ),
    Pair(
        r"^fact now_by_lines$",
        r"^figure side_view \|.*(Now|As measured)(:|, (?!by its lines|lines of))",
        "the same beside the picture",
    ),
    Pair(r"^rule found_up \|.*fast", r"^rule found_up ", "nose up is slower"),
    Pair(r"^rule found_down \|.*slow", r"^rule found_down ", "nose down is faster"),
    Pair(
        r"^rule caution_up ",
        r"^rule (air_faster|found_down) \|.*faster.*as it came",
        "slower than intended, and faster",
    ),
    Pair(r"^rule found_tips_up ", r"^rule found_tips_down ", "one twist"),
    Pair(r"does not tilt the wing", r"^rule found_uneven ", "shared by all, and uneven"),
    # --- what changes in the air
    Pair(SAME, CHANGED, "no change, and a change"),
    Pair(
        r"^rule done_(nothing |repaired .*No other work)",
        rf"{CHANGED}|{SAME}|^rule air_(launch_same|open) ",
        "nothing done, and what it changes in the air",
    ),
    Pair(r"^rule air_unexplained ", r"fly as it did before", "not settled, and as before"),
    Pair(
        r"^rule air_launch_down \|.*overshoot",
        r"^rule caution_up \|.*hang back",
        "the opposite to be ready for on one launch",
    ),
    Pair(
        r"^rule air_launch_up \|.*hang back",
        r"^rule caution_down \|.*overshoot",
        "the opposite to be ready for on one launch",
    ),
    Pair(
        r"^rule air_launch_same \| Launch",
        r"^fact (short_brakes|change_brakes_(less|more)|free_travel_open)$",
        "as before, and brakes that are short, have changed or are not known",
    ),
    Pair(
        r"^rule air_unchanged \|.*as it did before\.",
        r"^fact short_brakes$",
        "as before, and no word of the brake that is short",
    ),
    Pair(
        SAME,
        r"^claim (pitch|turn|tips|brake travel) change (possible|expected|open) ",
        "no change, and a claim of one",
    ),
    Pair(SAME, r"may feel different|to feel different", "no change, and feel different"),
    Pair(
        r"^rule air_launch_same ",
        r"may feel different|to feel different",
        "launch as before, and different",
    ),
    Pair(r"^rule air_launch_same ", r"^rule air_(faster|slower) ", "speed as before, and not"),
    Pair(r"^rule air_(launch_down|faster) ", r"^rule air_(launch_up|slower) ", "up and down"),
    Pair(r"^rule air_open ", r"^rule air_(launch_\w+|faster|slower) ", "not settled, and settled"),
    Pair(r"^rule air_unchanged ", r"^fact (adjusted|replaced)$", "unchanged, and work"),
    Pair(r"fly as it did before", r"feel different", "as before, and different"),
    Pair(r"^rule air_not_known \| How", rf"{CHANGED}|{SAME}", "not assessed, and assessed"),
    Pair(
        r"^rule air_not_known \| Apart from the brakes",
        rf"^rule air_(launch_\w+|faster|slower|turns|turns_changed|no_turn) |{SAME}",
        "not assessed apart from the brakes, and assessed",
    ),
    Pair(r"act sooner, ", r"act later, ", "one way only, unless one brake each"),
    Pair(
        r"The pull to the \w+ .*be gone",
        r"pull to the (left|right)\.|may pull to one side",
        "gone, and still there",
    ),
    Pair(
        r"^rule (air_(still_)?turns|caution_turn) \|.*pull to the left",
        r"^rule (air_(still_)?turns|caution_turn) \|.*pull to the right",
        "one side now",
    ),
    Pair(r"^rule caution_turn ", r"^rule caution_turn_open ", "a side, and no side"),
    Pair(
        r"^rule caution_doubts \|.*[Ll]eft and right may have been mixed up",
        r"pull(ed)? to the (left|right)|tend more to the (left|right)"
        r"|^rule (?!done_brakes_|before_not_assessed|brakes_(found|now) )\w+ .*[Tt]he (left|right) "
        r"(brake|one)\b"
        r"|^rule before_outside \| Outside limits: ",
        "sides that may have been mixed up, and a side without a reserve",
    ),
    Pair(r"^rule found_turn ", r"^rule found_turn_open ", "a side, and no side"),
    Pair(r"^rule air_(still_)?turns ", r"^rule caution_turn_open ", "a side, and no side"),
    Pair(r"^rule found_risers_open ", r"^rule air_no_change ", "risers open, and no change at all"),
    Pair(
        r"^rule found_risers_open \| The risers were not measured",
        r"^rule risers_(now|found) ",
        "risers not measured, and judged",
    ),
    Pair(
        r"further from a stall|nearer to a front collapse|margin",
        r"^page ",
        "lengths carry nothing about stalls and collapses",
    ),
    # --- brakes
    Pair(
        r"^rule before_not_assessed \|.*\bbrakes\b",
        r"^strip brakes .*free travel enough",
        "brakes not assessed, and their free travel enough",
    ),
    Pair(
        r"^rule found_one_side \|(?!.*hold the wing)",
        r"^fact found_brakes_measured$",
        "lines of one side only, and brake lines of the other",
    ),
    Pair(
        r"^rule (headline_stop_brakes|caution_free_travel|brakes_little_travel) \|(?!.*may have)",
        r"^strip brakes \w+ \| perhaps ",
        "too little, and perhaps",
    ),
    Pair(
        r"^rule found_brakes_right ",
        r"^rule found_brakes_(tight|long|short|mixed|outside|moved) ",
        "as intended, and not",
    ),
    Pair(
        r"[Bb]rakes (were|acted) as intended",
        r"^rule found_travel_uneven ",
        "as intended, and one acts sooner",
    ),
    Pair(
        r"^rule found_travel_uneven \| The left brake",
        r"^rule found_brakes_uneven \| The (right brake was longer|left brake was shorter)",
        "more free travel by measuring, and less by length",
    ),
    Pair(
        r"^rule found_travel_uneven \| The right brake",
        r"^rule found_brakes_uneven \| The (left brake was longer|right brake was shorter)",
        "more free travel by measuring, and less by length",
    ),
    Pair(
        r"^rule (found_travel_uneven|air_travel_uneven) ",
        r"^rule found_travel_measured \|.*on both sides",
        "uneven, and as much on both sides",
    ),
    Pair(
        r"^rule done_travel_measured ",
        r"^fact now_free_travel_low$",
        "told as if it were enough, and too little",
    ),
    Pair(
        r"^rule air_travel_uneven ",
        r"^rule done_travel_measured ",
        "uneven now, and told as if it were not",
    ),
    Pair(
        r"^rule (air|done)_travel_uneven ",
        r"^fact now_free_travel_low$",
        "enough of it on both sides, and too little",
    ),
    Pair(
        r"[Bb]rakes (were|acted) as intended",
        r"^rule found_brakes_tight ",
        "as intended, and too little travel",
    ),
    Pair(
        r"^rule headline_brakes ",
        r"^strip brakes (pass|conditional pass) ",
        "brakes not, strip yes",
    ),
    Pair(
        r"^rule (before_brakes|caution_brakes_outside) ",
        r"^strip brakes (pass|conditional pass) ",
        "brakes outside, strip within",
    ),
    Pair(
        r"^rule found_brakes_(moved|outside) ",
        r"^claim brakes found \S+ \S* (pass|conditional pass)$",
        "brakes outside, claim within",
    ),
    Pair(
        r"Both brakes (were|are) (a little )?long",
        r"Both brakes (were|are) (a little )?short",
        "long and short",
    ),
    Pair(
        r"^rule found_brakes_long \|.*they are within limits",
        r"^rule found_brakes_(outside|moved) ",
        "within by length, and not",
    ),
    Pair(
        r"^rule found_brakes_right ",
        r"^claim brakes found \S+ \S* (conditional pass|conditional fail|fail|not assessed)$",
        "as intended, and the claim is no clear pass",
    ),
    Pair(
        r"^rule found_brakes_(right|moved) ",
        r"^fact found_(free_travel_open|free_travel_low)$",
        "as intended, and free travel not known, or too little",
    ),
    *(
        Pair(GREEN.format("brakes"), rf"^fact {fact}$", f"brakes green, and {why}")
        for fact, why in (
            ("free_travel_open", "free travel not known"),
            ("free_travel_close", "free travel near the least"),
            ("brakes_outside_past", "outside, and not measured since"),
            ("now_load_unknown", "tension unknown"),
            ("short_brakes", "short when last measured"),
            ("brake_broke", "one of their lines broke in its test"),
        )
    ),
    Pair(
        r"^rule (headline_stop_brakes|caution_free_travel|brakes_little_travel) \|(?!.*As it came)",
        r"^claim free travel now (not assessed|none|blocked) ",
        "reported as what the brakes have, and not measured now",
    ),
    Pair(
        r"^rule before_travel_close ",
        r"^rule (caution_free_travel(_open)?|headline_stop_brakes|brakes_travel_open) ",
        "enough as calculated, and too little or not known",
    ),
    Pair(
        r"^rule found_turn_(none|unclear) ",
        r"^claim turn found expected |^rule (found_halves_apart|found_turn(_open|_unknown)?) ",
        "nothing that would turn it, or not clearly, and a turn",
    ),
    Pair(
        r"^rule (before|caution)_(short_brakes) \|.*(Both brakes are|brake is) short\.",
        r"^claim brake travel now (not assessed|none|blocked) ",
        "reported as short now, and not measured now",
    ),
    Pair(
        r"^rule (before_brakes|caution_brakes_outside|headline_brakes) ",
        r"^claim brakes now \S+ \S* (pass|conditional pass|not assessed)$",
        "reported as outside now, and the claim is not",
    ),
    Pair(
        r"^rule (headline|before|caution)_brakes_past ",
        r"^claim brakes now \S+ \S* (pass|conditional pass)$",
        "not measured again, and within now",
    ),
    Pair(
        r"^rule (headline_stop_brakes|caution_free_travel|brakes_little_travel) \|.*[Bb]oth brakes",
        r"^rule (headline_stop_brakes|caution_free_travel|brakes_little_travel) "
        r"\|.*[Tt]he (left|right) brake\b",
        "both too little, and one",
    ),
    Pair(
        r"^rule found_brakes_uneven \|",
        r"^rule brakes_found \|(?!.*than the (left|right) one|.*(left|right) brake [\d.,]+ mm .*"
        r"(left|right) brake [\d.,]+ mm )",
        "one brake longer than the other in the letter, and no word of it on the page behind",
    ),
    *(
        Pair(
            rf"^rule brakes_found \|.*{side} brake [\d.,]+ mm {one}",
            rf"(the {side} brake was|both brakes were|the {side} one) (a little )?{other}\b",
            f"{one} on the page behind, {other} in the letter",
        )
        for side in ("left", "right")
        for one, other in (("longer", "short"), ("shorter", "long"))
    ),
    *(
        Pair(
            rf"^rule air_brakes_unlike \|.*({side} brake acts|both brakes act)",
            rf"^rule air_brakes_\w+ \|.*([Bb]oth brakes|{side} (brake|one)).* (sooner|later)",
            f"how the {side} brake acts is not settled, and is",
        )
        for side in ("left", "right")
    ),
    Pair(
        r"^rule found_travel_unlike ",
        r"^rule found_brakes_(right|moved) ",
        "free travel that does not fit the lengths, and brakes as intended",
    ),
    Pair(
        r"^fact now_brakes_unlike$",
        r"^strip brakes pass ",
        "free travel that does not fit the lengths, and a clear pass",
    ),
    Pair(r"^rule air_brakes_unlike ", SAME, "no change, and a brake of which it is not settled"),
    Pair(
        r"act (sooner|later)[^.]*, (perhaps )?because",
        r"^rule done_nothing ",
        "because of work that nobody did",
    ),
    Pair(r"[Bb]oth brakes \w+( probably)? act sooner", r"act later", "both sooner, one later"),
    Pair(
        r"[Bb]oth brakes \w+( probably)? act later",
        r"act sooner(?! than the)",
        "both later, one sooner",
    ),
    # --- work
    Pair(r"^rule (headline|done)_not_again ", r"^rule done_again", "measured again, and not"),
    Pair(
        r"^rule (headline|caution|before|done)_(parts_)?not_again ",
        r"^fact (remeasured|only_after)$",
        "not measured since, and it was",
    ),
    Pair(
        r"^fact only_after$",
        r"[Aa]s it came[ :,.]|[Mm]easured again|second time|[Nn]othing was changed|pulled to"
        r"|it did before|back within|^strip .*(again|came|corrected)",
        "measured only after the work, and before it",
    ),
    Pair(
        r"^rule changes_(some_)?agree ",
        r"^rule (caution_ledger|caution_together) ",
        "as planned, and not",
    ),
    Pair(
        r"^rule changes_(some_)?agree ",
        r"^rule (changes_shift_unknown|changes_unknown) ",
        "as planned, and not assessed",
    ),
    Pair(
        r"^rule done_(entered|unlike) ",
        r"^rule changes_agree ",
        "work that measuring does not show, and all of it as planned",
    ),
    Pair(
        r"^figure plan_view \|.*as entered",
        r"^rule changes_agree ",
        "a picture of work as entered, and all of it as planned",
    ),
    Pair(
        r"^figure plan_view \|(?!.*as entered)",
        r"^rule done_entered ",
        "a picture of work that was done, and of which nobody knows",
    ),
    Pair(
        r"^rule (done|headline)_not_again ",
        r"^rule (done_(both|longer|shorter)|changes_(some_)?agree) ",
        "not measured since, and reported as done",
    ),
    Pair(r"^figure plan_view ", r"^rule done_nothing ", "arrows, and nothing done"),
    Pair(r"^rule done_longer ", r"^rule done_shorter ", "only let out, only shortened"),
    Pair(
        r"^rule done_entered \| By our record we (?!also )",
        r"^fact (longer|shorter)$",
        "moved by measuring and by the record, and neither knows of the other",
    ),
    Pair(
        r"what was entered looks wrong",
        r"[Aa] change without an entry",
        "an entry that looks wrong, and one that is missing",
    ),
    # --- may it fly
    Pair(STOP, r"^rule before_(start|usual) |[Tt]ake off in calm air", "stop, and take off"),
    Pair(
        r"^fact grounded$",
        r"^rule before_(start|usual) |[Tt]ake off in calm air",
        "grounded, and take off",
    ),
    Pair(
        r"^fact grounded$",
        r"be ready to brake|release the brakes|Leave room|hang back",
        "grounded, and how to fly it",
    ),
    Pair(
        r"^fact grounded$",
        rf"{CHANGED}|{SAME}|^rule air_(unchanged|launch_same|not_known|open) ",
        "grounded, and how it will fly",
    ),
    Pair(r"^rule decision_(released|conditions) ", STOP, "a plain release against a stop"),
    Pair(
        r"^rule decision_not_released ",
        r"^rule (before_(start|usual)|decision_released\w*) ",
        "not released, and off you go",
    ),
    Pair(
        r"Nobody has released this wing",
        r"(?<!has )released (this|the) wing",
        "nobody, and somebody",
    ),
    Pair(
        r"has not stated whether this wing may fly",
        r"(?<!has )released (this|the) wing",
        "not stated, and released",
    ),
    Pair(
        r"^rule decision_(released|conditions|released_all_the_same) ",
        r"Do not fly before the workshop has released",
        "released, and wait for it",
    ),
)
