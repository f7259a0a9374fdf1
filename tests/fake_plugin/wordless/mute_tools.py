"""A package whose language has no words yet."""

from dataclasses import dataclass
from pathlib import Path


@dataclass(frozen=True)
class Words:
    """A folder that is not there."""

    contract: int = 1
    name: str = "mute"
    locale: str = "en_GB"
    folder: Path = Path(__file__).parent / "mute_words"


language = Words()
