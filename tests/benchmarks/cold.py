"""Fresh processes: what a person waits for who runs one command."""

import os
import pickle
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import peers
from clock import Clock
from content import pieces_of
from variants import EXAMPLES

from trimscribe.pipeline import prepare
from trimscribe.registry import Registry
from trimscribe.world import World


def measure(folder: Path, rounds: int) -> Iterator[tuple[str, float]]:
    """Ratios, medians over `rounds` turns."""
    folder.mkdir()
    pieces, _ = pieces_of(prepare(EXAMPLES / "demo.yaml", Registry.installed()), *_surroundings())
    source = folder / "pieces.pickle"
    source.write_bytes(pickle.dumps(pieces))
    cli = ("-m", "trimscribe")
    commands = {
        "python": ("-c", "pass"),
        "help": (*cli, "--help"),
        "check": (*cli, "check", EXAMPLES / "broken.yaml"),
        "report": (*cli, "report", EXAMPLES / "demo.yaml", "--force", "--out", folder),
    }
    script = Path(peers.__file__)
    present = [peer for peer in peers.PEERS if peer not in peers.missing()]
    commands |= {peer: (script, peer, source, folder / "peer.pdf") for peer in present}
    clock = Clock()
    for turn in range(rounds + 1):
        if turn == 1:
            clock = Clock()  # the first turn leaves compiled Python behind, as installing does
        for name, command in commands.items():
            with clock.measure(name):
                _run(*command)
    median = clock.median
    yield "cold_report_ms", median("report") * 1000
    yield "cold_report_over_bare_python", median("report") / median("python")
    yield "cold_help_over_cold_report", median("help") / median("report")
    yield "cold_check_over_cold_report", median("check") / median("report")
    for peer in present:
        yield f"cold_report_over_cold_{peer}", median("report") / median(peer)


def _surroundings() -> tuple[Registry, World]:
    return Registry.installed(), World.real()


def _run(*command: object) -> None:
    done = subprocess.run(
        [sys.executable, *map(os.fspath, command)],
        stdout=subprocess.DEVNULL,
        stderr=subprocess.PIPE,
        env={k: v for k, v in os.environ.items() if k != "PYTHONDONTWRITEBYTECODE"},
    )
    if done.returncode not in (0, 2):  # the faulty job has faults
        raise SystemExit(done.stderr.decode())
