"""The base theme: calm, numbers in tabular figures, one frame only."""

from pathlib import Path

contract = 1
name = "base"
folder = Path(__file__).parent
