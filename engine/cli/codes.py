"""`trimscribe code`: what a fault means and what to do about it."""

import click

from trimscribe.cli.options import json_
from trimscribe.cli.output import FORMAT, Exit, clean, epilog, print_data, print_result
from trimscribe.errors import InputError, suggest
from trimscribe.model.plain import to_plain


@click.command(epilog=epilog(Exit.DONE, Exit.INPUT))
@click.argument("name", metavar="[CODE]", default="")
@json_()
def code(name: str, as_json: bool) -> int:
    """Explain a fault by its CODE, such as not-a-date: what it means, and what to do.

    Without a CODE all are listed.
    """
    # Every part's list is loaded here, and with it much of the program.
    from trimscribe.catalogue import fault_codes

    known = fault_codes()
    if name and name not in known:
        hint = suggest(name, known, listed=False) or "`trimscribe code` lists all."
        hint += " What importers of other packages call their faults is explained by these."
        raise InputError.of("not-one-of", f"There is no fault called “{name}”.", hint=hint)
    chosen = [known[name]] if name else [*known.values()]
    if as_json:
        print_data({"format": FORMAT, "codes": to_plain(chosen)})
        return Exit.DONE
    if not name:
        for one in chosen:
            print_result(clean(f"{one.code}: {one.meaning}"))
        return Exit.DONE
    (one,) = chosen
    print_result(clean(f"{one.code} ({one.about})"))
    print_result(clean(one.meaning))
    print_result(clean(one.advice))
    if one.example:
        print_result(clean(f"For example: {one.example}"))
    return Exit.DONE
