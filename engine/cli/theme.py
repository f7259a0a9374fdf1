"""The commands for themes: what holds for a job, a new theme, and what is wrong with one."""

from pathlib import Path

import click

from trimscribe.cell.once import CODES as STOPPED
from trimscribe.cell.once import shared
from trimscribe.cli import options
from trimscribe.cli.output import (
    FORMAT,
    Exit,
    clean,
    counted,
    epilog,
    fault_data,
    print_data,
    print_document,
    print_error,
    print_faults,
    print_result,
    print_rows,
)
from trimscribe.errors import StoppedError, any_error
from trimscribe.model.plain import Plain
from trimscribe.model.workshop import Setting, names_folder
from trimscribe.resources.worlds import world_of

_READY = "trimscribe.desk.work:get_ready"
_CHECK = "trimscribe.desk.work:checked_theme"
_CODES = epilog(Exit.DONE, Exit.WARNINGS, Exit.INPUT, Exit.THEME, Exit.DISK)


@click.group()
def theme() -> None:
    """Look at themes, start one, or have one checked."""


@theme.command(epilog=_CODES)
@click.argument("job", metavar="[JOB]", default="")
@options.theme("A theme to look at.", name="name")
@options.shop("Shop file instead of the job's.")
@options.json_()
def show(job: str, name: str, shop: str, as_json: bool) -> int:
    """Show how the reports of a JOB look, and who set each part.

    The job goes before the shop file, the shop file before the theme, the theme before those that
    it extends, and base comes last.
    """
    shared().warm(_READY)
    found: tuple[Setting, ...] = shared().call(
        job or name,
        "trimscribe.desk.work:looks",
        job,
        name,
        shop,
        reads=world_of([job] if job else [], shop=shop, theme=name),
    )
    if as_json:
        print_data({"format": FORMAT, "settings": [_data(setting) for setting in found]})
        return Exit.DONE
    rows = []
    for setting in found:
        by = f"{setting.source} {setting.theme}".strip()
        by = setting.source if setting.theme in ("", setting.source) else by
        rows.append((setting.name, setting.value, by, str(setting.mark or "")))
    print_rows(("part", "value", "set by", "where"), rows)
    return Exit.DONE


def _data(setting: Setting) -> Plain:
    mark = setting.mark
    return {
        "name": setting.name,
        "value": setting.value,
        "source": setting.source,
        "theme": setting.theme or None,
        "file": mark.file if mark else None,
        "line": mark.line if mark else None,
    }


@theme.command(epilog=_CODES)
@click.argument("folder", metavar="FOLDER")
def new(folder: str) -> int:
    """Write a small theme to start from; the FOLDER must not be there yet, or be empty."""
    from trimscribe.archive import put_new
    from trimscribe.theming import starter_files

    for path in put_new(starter_files(Path(folder).name), Path(folder)):
        print_result(clean(path.as_posix()))
    typed = folder if names_folder(folder) else f"./{folder}"
    print_error(f"Try it: trimscribe theme check {typed}")
    return Exit.DONE


@theme.command(epilog=_CODES)
@click.argument("name", metavar="NAME-OR-FOLDER")
@options.strict
@options.json_()
def check(name: str, strict: bool, as_json: bool) -> int:
    """Check a theme without a job of your own.

    Colours, letters, files and parts are looked through; then the hardest job there is gets
    rendered in every language, and the pages are looked at. What the theme says in its own words is
    listed: read it before you use a stranger's theme, since it may contradict the report.
    """
    from trimscribe.theming import Checked

    shared().warm(_READY)
    place = f"{name.rstrip('/')}/theme.yaml" if names_folder(name) else name
    try:
        checked: Checked = shared().call(place, _CHECK, name, reads=world_of([], theme=name))
    except StoppedError as error:
        checked = Checked("", error.faults, {})
    code = Exit.WARNINGS if strict and checked.faults else Exit.DONE
    if any_error(checked.faults):
        code = Exit.THEME
    if any(fault.code in STOPPED for fault in checked.faults):
        code = Exit.STOPPED
    if as_json:
        print_document(
            code,
            trail=[*checked.trail.split(" → ")] if checked.trail else [],
            pages=dict(checked.pages),
            faults=[*map(fault_data, checked.faults)],
            says=[*checked.says],
        )
        return code
    print_faults(checked.faults)
    for words in checked.says:
        print_error(f"This theme says, in its own words: {clean(words)}")
    pages = [f"{count} pages in {language}" for language, count in checked.pages.items()]
    parts = ", ".join([*pages, counted(checked.faults) or "no faults"])
    print_error(f"{checked.trail or name}: {parts}")
    return code
