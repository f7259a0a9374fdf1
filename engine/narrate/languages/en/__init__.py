"""English."""

from pathlib import Path

contract = 1
name = "en"
locale = "en_GB"
folder = Path(__file__).parent
