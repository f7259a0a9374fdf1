"""The small theme that `trimscribe theme new` writes: complete, commented, ready to render."""

import re
from collections.abc import Mapping
from pathlib import Path

__all__ = ["starter_files"]

_FOLDER = Path(__file__).parent / "starter"


def starter_files(name: str) -> Mapping[str, str]:
    """Its files by path below the new folder; `name` becomes the theme's, as far as it can."""
    slug = re.sub(r"[^a-z0-9_-]+", "-", name.lower()).strip("-_0123456789")[:40] or "mine"
    files = {
        path.relative_to(_FOLDER).as_posix(): path.read_text(encoding="utf-8")
        for path in sorted(_FOLDER.rglob("*"))
        if path.suffix in (".yaml", ".j2")
    }
    return files | {"theme.yaml": files["theme.yaml"].replace("name: starter", f"name: {slug}")}
