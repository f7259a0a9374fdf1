"""Bench: dense and technical, on US Letter, with a title block and all numbers close together."""

from pathlib import Path

contract = 1
name = "bench"
folder = Path(__file__).parent
