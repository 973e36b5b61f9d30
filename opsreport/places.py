"""Where the files that the package ships stand, in a checkout and in an installed wheel alike."""

from pathlib import Path

_PACKAGE = Path(__file__).resolve().parent


def data_file(name: str) -> Path:
    """Path of a file under `opsreport/data`."""
    return _PACKAGE / "data" / name


def templates_folder() -> Path:
    """Folder of the page templates: inside an installed package, else at the top of the checkout."""
    inside = _PACKAGE / "templates"
    return inside if inside.is_dir() else _PACKAGE.parent / "templates"
