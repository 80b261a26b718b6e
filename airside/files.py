"""Write files whole or not at all, and never over an existing one unless told to."""

from __future__ import annotations

import os
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from airside.errors import OutputError


def check_free(path: str | Path, *, force: bool = False, option: str = "--force") -> Path:
    """The path, where a file may be written there.

    Raises
    ------
    OutputError
        The file exists and ``force`` is false, the place is a folder, or its folder is missing.
    """
    target = Path(path)
    try:
        folder, place, taken = target.is_dir(), target.parent.is_dir(), target.exists()
        missing = not target.parent.exists()
    except OSError as error:
        raise OutputError(f"{path}: cannot be written ({error.strerror}). Name another place.") from None
    if folder:
        raise OutputError(f"{path}: is a folder. Name a file in it.")
    if not place and missing:
        raise OutputError(f"{path}: the folder {target.parent} does not exist. Make it first, or name another place.")
    if not place:
        raise OutputError(f"{path}: {target.parent} is a file, not a folder. Name another place.")
    if taken and not force:
        raise OutputError(f"{path}: exists already and is left as it is. Name another file, or add {option}.")
    return target


def write_whole(path: str | Path, content: bytes | str, *, force: bool = False, option: str = "--force") -> Path:
    """Write a file so that a reader sees the old one or the new one, never a half.

    Parameters
    ----------
    path : str or Path
    content : bytes or str
        Text is written as UTF-8.
    force : bool
        Replace an existing file.
    option : str
        What the message tells the user to add.

    Raises
    ------
    OutputError
        As `check_free`, or the disk refuses.
    """
    target = check_free(path, force=force, option=option)
    data = content.encode() if isinstance(content, str) else content
    temporary = ""
    try:
        # A short prefix: the target's own name may be as long as a name can be.
        handle, temporary = tempfile.mkstemp(dir=target.parent, prefix=".airside.")
        with os.fdopen(handle, "wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        # mkstemp makes the file private; give it the rights that a new file has here.
        mask = os.umask(0)
        os.umask(mask)
        Path(temporary).chmod(0o666 & ~mask)
        if force:
            Path(temporary).replace(target)
        else:
            _place(Path(temporary), target)
    except FileExistsError:
        Path(temporary).unlink(missing_ok=True)
        raise OutputError(f"{path}: exists already and is left as it is. Add {option} to replace it.") from None
    except OSError as error:
        if temporary:
            Path(temporary).unlink(missing_ok=True)
        raise OutputError(f"{path}: cannot be written ({error.strerror}). Check the place and its rights.") from None
    return target


@contextmanager
def written_whole(path: str | Path, *, force: bool = False, option: str = "--force") -> Iterator[Path]:
    """A temporary file to write piece by piece; at the end it takes the target's place, after an error it is taken away.

    Parameters
    ----------
    path, force, option
        As `write_whole`.

    Yields
    ------
    Path
        The temporary file, empty, in the target's folder.

    Raises
    ------
    OutputError
        As `write_whole`.
    """
    target = check_free(path, force=force, option=option)
    temporary: Path | None = None
    try:
        handle, name = tempfile.mkstemp(dir=target.parent, prefix=".airside.")
        os.close(handle)
        temporary = Path(name)
        yield temporary
        mask = os.umask(0)
        os.umask(mask)
        temporary.chmod(0o666 & ~mask)
        if force:
            temporary.replace(target)
        else:
            _place(temporary, target)
    except FileExistsError:
        raise OutputError(f"{path}: exists already and is left as it is. Add {option} to replace it.") from None
    except OSError as error:
        raise OutputError(f"{path}: cannot be written ({error.strerror}). Check the place and its rights.") from None
    finally:
        if temporary is not None:
            temporary.unlink(missing_ok=True)


def _place(temporary: Path, target: Path) -> None:
    try:
        # A link fails where the file has appeared in the meantime; replacing would not.
        os.link(temporary, target)
    except FileExistsError:
        raise
    except OSError:
        # A file system without hard links, such as that of a memory stick.
        if target.exists():
            raise FileExistsError(str(target)) from None
        temporary.replace(target)
    else:
        temporary.unlink()
