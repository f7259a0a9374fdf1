"""Exit codes: what a script learns from a run."""

from enum import IntEnum


class Exit(IntEnum):
    """The code of a run; that of several jobs is the highest of theirs."""

    DONE = 0
    WARNINGS = 1
    INPUT = 2
    THEME = 3
    PLUGIN = 4
    TYPESETTING = 5
    DISK = 6
    STOPPED = 7
    UNPROVEN = 8
    ALTERED = 9
    SIGNING = 10
    NO_PLAN = 11
    USAGE = 64  # 64 and 70 as in BSD's sysexits
    BUG = 70
    INTERRUPTED = 130  # 128 and the signal's number, as shells have it
    READER_LEFT = 141


MEANINGS = {
    Exit.DONE: "done",
    Exit.WARNINGS: "done, with warnings under --strict",
    Exit.INPUT: "faults in the job or a file that it names",
    Exit.THEME: "faults in the theme or the phrases",
    Exit.PLUGIN: "a plugin is unknown, clashes, does not load or fails",
    Exit.TYPESETTING: "the report does not typeset or lacks a required text",
    Exit.DISK: "the report cannot be written, or a different one is there",
    Exit.STOPPED: "a job took too long or too much memory, or its worker died",
    Exit.UNPROVEN: "a PDF is not a report, or cannot be proven here",
    Exit.ALTERED: "a report was altered",
    Exit.SIGNING: "a report could not be signed",
    Exit.NO_PLAN: "no retrim is proposed for this job",
    Exit.USAGE: "the command was used in a wrong way",
    Exit.BUG: "a bug in Trimscribe",
    Exit.INTERRUPTED: "interrupted",
    Exit.READER_LEFT: "the program that read the output has left",
}


def epilog(*codes: Exit) -> str:
    """What the help of a command ends with: these codes, or all of a run over several jobs."""
    title = "Exit codes:" if codes else "Exit codes (of several jobs the highest):"
    lines = (f"  {code:>3}  {MEANINGS[code]}" for code in codes or MEANINGS)
    return "\n".join(("\b", title, *lines))
