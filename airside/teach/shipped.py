"""Where the notebooks and the demo data are that come with airside."""

from __future__ import annotations

from pathlib import Path


def shipped() -> dict[str, Path]:
    """The folders by name, "notebooks" and "data": in the checkout, or inside the installed package."""
    package = Path(__file__).resolve().parents[1]
    if (package / "_notebooks").is_dir():
        return {"notebooks": package / "_notebooks", "data": package / "_data"}
    return {"notebooks": package.parent / "notebooks", "data": package.parent / "data"}
