"""The commands that look after finished reports: verify, archive, shelf, sign."""

import datetime as dt
from pathlib import Path
from typing import TextIO

import click

from trimscribe.cli import options
from trimscribe.cli.output import epilog
from trimscribe.model.manifest import OUTCOMES

_LARGEST_CERTIFICATE = 1_000_000  # bytes; a list of all that browsers trust is smaller


def _day(ctx: click.Context, param: click.Parameter, value: str) -> str:
    """A day as jobs write it; anything else is refused with an example."""
    try:
        return dt.datetime.strptime(value, "%Y-%m-%d").date().isoformat() if value else ""
    except ValueError:
        message = f"“{value}” is not a date such as 2026-10-16 (year-month-day)."
        raise click.BadParameter(message, ctx, param) from None


def _certificates(
    context: click.Context, option: click.Parameter, names: tuple[str, ...]
) -> tuple[bytes, ...]:
    """The bytes of plain files; nothing else is waited for."""
    from trimscribe.resources.file_access import plain_bytes

    found = []
    for name in names:
        try:
            data = plain_bytes(Path(name), _LARGEST_CERTIFICATE)
        except (OSError, ValueError) as error:
            reason = getattr(error, "strerror", "") or "is no name of a file"
            raise click.BadParameter(f"{name!r}: {reason}", context, option) from error
        if data is None:
            raise click.BadParameter(f"{name!r}: not a file", context, option)
        found.append(data)
    return tuple(found)


@click.command(epilog=epilog())
@options.pdfs
@options.theme("For reports whose own theme is not installed.")
@click.option(
    "--workers",
    metavar="N",
    type=click.IntRange(1, 256),
    help="How many are read at the same time.  [default: one per core]",
)
@click.option(
    "--trust",
    "trusted",
    metavar="FILE",
    multiple=True,
    callback=_certificates,
    help="A certificate (PEM or DER) that signatures may go back to; give it as often as needed.",
)
@options.json_()
def verify(
    pdfs: tuple[str, ...],
    theme: str,
    workers: int | None,
    trusted: tuple[bytes, ...],
    as_json: bool,
) -> int:
    """Make reports again from what they carry, and say whether they are the same.

    Tells of each PDF, and of each below a folder: identical, same content, unproven here, altered,
    or no report. It proves that a report is what its own job gives, not who wrote the job: for that
    it looks at the signature, where there is one.
    """
    from trimscribe.cli.verify import pdfs_below, show_proofs

    passed_over: list[str] = []
    paths = [*pdfs_below(pdfs, passed_over)]
    return show_proofs(paths, theme, workers or 0, trusted, passed_over, as_json=as_json)


@click.command(epilog=epilog())
@click.argument("folder", metavar="SHELF")
@options.pdfs
@click.option(
    "--unproven",
    is_flag=True,
    help="Keep reports too that cannot be proven here, such as those of other versions.",
)
@options.json_()
def archive(folder: str, pdfs: tuple[str, ...], unproven: bool, as_json: bool) -> int:
    """Put finished reports on a shelf, which is made if need be.

    Each is made again from what it carries, as `verify` does, and refused where it is not the same.
    A shelf keeps each report in a plain folder, by year, wing and service number. It only ever
    adds: a number that is taken is refused, and a correction names the report that it replaces.
    """
    from trimscribe.cli.shelf import put_on_shelf
    from trimscribe.cli.verify import pdfs_below

    return put_on_shelf(folder, [*pdfs_below(pdfs)], unproven=unproven, as_json=as_json)


@click.command(epilog=epilog())
@click.argument("folder", metavar="SHELF")
@click.option("--serial", metavar="NUMBER", default="", help="Of the wing with this serial number.")
@click.option("--service", metavar="NUMBER", default="", help="With this service number.")
@click.option("--pilot", metavar="WORDS", default="", help="Whose pilot's name has these words.")
@click.option("--model", metavar="WORDS", default="", help="Whose maker or model has these words.")
@click.option(
    "--verdict",
    type=click.Choice(OUTCOMES, case_sensitive=False),
    metavar="WORDS",
    help=f"With this verdict on the whole: {', '.join(OUTCOMES)}.",
)
@click.option(
    "--since", callback=_day, metavar="DATE", default="", help="Done on this day or later."
)
@click.option(
    "--until", callback=_day, metavar="DATE", default="", help="Done on this day or before."
)
@click.option("--check", is_flag=True, help="Read every report, and tell those lost or changed.")
@click.option("--rebuild", is_flag=True, help="Rebuild the index from the reports alone.")
@options.json_()
def shelf(
    folder: str, check: bool, rebuild: bool, as_json: bool, verdict: str | None, **texts: str
) -> int:
    """List the reports on a shelf, oldest first, or those that fit all of what is given."""
    from trimscribe.cli.shelf import show_shelf

    asked = {**texts, "verdict": verdict or ""}
    return show_shelf(folder, asked, check=check, rebuild=rebuild, as_json=as_json)


@click.command(epilog=epilog())
@click.argument("report", metavar="REPORT")
@click.option("--out", metavar="FILE", default="", help="[default: REPORT with -signed]")
@click.option("--key", metavar="FILE", default="", help="Certificate and key as PKCS#12 (.p12).")
@click.option("--token", metavar="LABEL", default="", help="A token with the key, by PKCS#11.")
@click.option("--library", metavar="FILE", default="", help="The PKCS#11 library of the token.")
@click.option("--certificate", metavar="LABEL", default="", help="The certificate on the token.")
@click.option(
    "--passphrase-file",
    metavar="FILE",
    type=click.File("r"),
    help="Passphrase or PIN on the first line.  [default: you are asked]",
)
@click.option("--time-stamp", metavar="URL", default="", help="A time-stamp service (RFC 3161).")
@options.theme("For a report whose own theme is not installed.")
def sign(report: str, passphrase_file: TextIO | None, **wishes: str) -> int:
    """Sign a finished report with the workshop's certificate, as the last step (PAdES).

    The signed report is a new file; every byte of the report stays as it was in it.
    """
    from trimscribe.cli.sign import look_for, sign_report

    if bool(wishes["key"]) == bool(wishes["token"]):
        raise click.UsageError("Give either --key, or --token with --library and --certificate.")
    look_for(report, wishes["key"])
    if passphrase_file:
        secret = passphrase_file.readline().rstrip("\r\n")
    else:
        secret = click.prompt("Passphrase or PIN", hide_input=True, default="", show_default=False)
    return sign_report(report, secret, wishes)


COMMANDS = (verify, archive, shelf, sign)
