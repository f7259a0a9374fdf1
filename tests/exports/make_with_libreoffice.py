"""Have LibreOffice write the workbooks in `made/`, which it took from our own writers' files.

    python tests/exports/make_with_libreoffice.py

Needs the command `soffice` (Debian: apt install libreoffice-calc); the committed files are those
of LibreOffice 7.4.7. Run it again when a shape changes, and commit what it writes.
"""

import subprocess
import tempfile
from pathlib import Path

from export_shapes import SHAPES
from export_wing import demo_wing

HERE = Path(__file__).parent

# What LibreOffice shall make of each shape.
MADE = {
    "paired": ("xlsx", "ods", "xls"),
    "merged_rows": ("ods", "xls"),
    "inches": ("xls",),
    "beside": ("xlsx", "ods"),
    "turned": ("xlsx",),
    "dashed_label": ("ods",),
}


def main() -> None:
    wing = demo_wing()
    with tempfile.TemporaryDirectory() as folder:
        for shape, endings in MADE.items():
            export = SHAPES[shape](wing)
            source = Path(folder) / f"{shape}{Path(export.name).suffix}"
            source.write_bytes(export.data)
            for ending in endings:
                command = ["soffice", "--headless", "--convert-to", ending, "--outdir"]
                subprocess.run([*command, str(HERE / "made"), str(source)], check=True)


if __name__ == "__main__":
    main()
