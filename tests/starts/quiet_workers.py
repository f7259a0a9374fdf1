"""Workers of pytest-xdist that tell of each test what became of it, and no more.

They say six things of each: that it begins and ends, how its set-up, itself and its clean-up went,
and that another may come. To say and to hear all that takes more than most tests. What went well
before and after a test, and when it began, is heard only where somebody asks for it.
"""

from typing import Any

import pytest

_BEGINS_AND_ENDS = {"logstart", "logfinish"}


def say_less(config: pytest.Config) -> None:
    """Let this process leave out what nobody hears, if it is such a worker."""
    option = config.option
    heard = option.verbose > 0 or option.durations is not None or option.xmlpath
    for plugin in config.pluginmanager.get_plugins():
        if type(plugin).__name__ == "WorkerInteractor" and not heard:
            plugin.sendevent = _without_what_went_well(plugin.sendevent)


def _without_what_went_well(send: Any) -> Any:
    def told(name: str, **given: Any) -> None:
        if name in _BEGINS_AND_ENDS:
            return
        if name == "testreport":
            report = given["data"]
            if report["outcome"] == "passed" and report["when"] != "call":
                return
        send(name, **given)

    return told
