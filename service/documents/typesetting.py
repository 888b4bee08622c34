"""Typesetting: one of our templates and plain data in, the bytes of a PDF out.

The compiler sees a fresh folder that holds the template and copies of the pictures, and nothing
else: no system font, no package, no link out of the folder. What people wrote travels as JSON, so
it is printed as it stands and is never read as markup.
"""

import json
import shutil
import tempfile
from collections.abc import Mapping
from importlib.resources import as_file, files
from pathlib import Path
from typing import Any

import typst


def typeset(template: str, *, data: Mapping[str, Any], pictures: Mapping[str, bytes]) -> bytes:
    """Typeset `template` with `data`; `pictures` are the files it may name, by their names."""
    with tempfile.TemporaryDirectory(prefix="clackbox-") as name:
        folder = Path(name)
        _lay_out(folder, template, pictures)
        return typst.compile(
            folder / template,
            root=folder,
            format="pdf",
            ignore_system_fonts=True,
            package_path=folder / "packages",
            package_cache_path=folder / "packages",
            sys_inputs={"data": json.dumps(data)},
        )


def _lay_out(folder: Path, template: str, pictures: Mapping[str, bytes]) -> None:
    (folder / "packages").mkdir()
    with as_file(files("service.documents") / "templates" / template) as source:
        shutil.copyfile(source, folder / template)
    for name, picture in pictures.items():
        (folder / name).write_bytes(picture)
