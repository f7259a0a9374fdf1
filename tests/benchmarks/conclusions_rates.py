"""How often what is concluded is wrong, by the plain rules of tests/reference on drawn wings.

    python tests/benchmarks/conclusions_rates.py [--wings N] [--section 2]

Prints `name: value` lines, shares in percent. The rules are the plain ones, apart from the
analysis: this checks the risks that the study states, not the program. Values for wings of 2/3/4
(or 5) rows are side by side. Seeded: the same figures each time.
"""

import argparse

from rates_of_lines import conforming, coverage, doubted_sets, shrunk, turns
from rates_of_work import ledger, merged, moved_without_entry, swapped_sides

SECTIONS = {
    "0": (coverage,),
    "2": (merged,),
    "3": (ledger,),
    "4": (swapped_sides, moved_without_entry),
    "5": (turns,),
    "8": (conforming,),
    "10": (shrunk,),
    "12": (doubted_sets,),
}


def main() -> None:
    """Measure and print."""
    parser = argparse.ArgumentParser(description=__doc__.partition("\n")[0])
    parser.add_argument("--wings", type=int, default=2000, help="drawn wings per figure (2000)")
    parser.add_argument("--section", choices=SECTIONS, help="only one section of the study")
    arguments = parser.parse_args()
    for section, parts in SECTIONS.items():
        if arguments.section in (None, section):
            for part in parts:
                for name, value in part(arguments.wings):
                    print(f"{name}: {value}", flush=True)


if __name__ == "__main__":
    main()
