"""Linden: a warm serif letter for a small workshop, one column wide, headings in the margin."""

from pathlib import Path

contract = 1
name = "linden"
folder = Path(__file__).parent
