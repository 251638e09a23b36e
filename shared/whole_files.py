"""Files written whole or not at all: one, or several that belong together.

Each is written to its end under a name that nobody can guess or has planted, in the same folder, and then moved to its
place. Errors, a full disk and being told to stop leave what was there before, and nothing else. A file that is
replaced keeps its permissions; a new one has those that the umask allows.
"""

from __future__ import annotations

import os
import shutil
import stat
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager, suppress
from pathlib import Path
from secrets import token_hex

from .errors import UseError
from .tidying import tidied_away


def write_each(files: Sequence[tuple[Path, bytes, str]]) -> None:
    """Writes files wherever each is to lie, over others that are there: all of them or none.

    Raises UseError, its path as the file is shown, where one cannot be written; what stood anywhere is then untouched.
    """
    staged = [(_beside(target.parent), _beside(target.parent)) for target, _, _ in files]
    swap = _Swap()

    def tidy() -> None:
        swap.take_back()
        for path in (path for pair in staged for path in pair):
            path.unlink(missing_ok=True)

    with _tidied(tidy):
        for (target, content, shown), (part, _) in zip(files, staged, strict=True):
            with _refusing(shown):
                _write(part, content, like=target)
        for (target, _, shown), (part, old) in zip(files, staged, strict=True):
            with _refusing(shown):
                if len(files) == 1:
                    os.replace(part, target)  # one alone is at no moment away
                else:
                    swap.put(part, target, old)
        swap.keep()


def write_files(folder: Path, files: Mapping[str, bytes]) -> None:
    """Writes files by their names in a folder, which is made if it is not there: all of them or none.

    They are staged in a folder of their own and swapped in when all are written. Other files of the folder stay.
    Raises UseError, its path the folder, where one cannot be written; all that stood there is then as it was.
    """
    there = folder.is_dir()
    top = next((path for path in (folder, *folder.parents) if path.parent.is_dir()), folder)
    stage = _beside(folder if there else top.parent)
    swap = _Swap()

    def tidy() -> None:
        swap.take_back()
        shutil.rmtree(stage, ignore_errors=True)

    with _refusing(str(folder)), _tidied(tidy):
        new = stage / "new" if there else stage / folder.relative_to(top)
        for name, content in files.items():
            (new / name).parent.mkdir(parents=True, exist_ok=True)
            _write(new / name, content, like=folder / name)
        if there:
            for name in files:
                swap.put(new / name, folder / name, stage / "old" / name)
        else:
            swap.move(stage, top)
        swap.keep()


def may_write_files(folder: Path, names: Iterable[str], *, replace: bool) -> None:
    """Raises UseError where one of these files of a folder is there already, leads away from it or is a folder.

    Those that are there may be with `replace`. Asked before long work.
    """
    paths = [folder / name for name in names]
    if not replace:
        for path in paths:
            if os.path.lexists(path):
                raise UseError.at(f"{path} is there already; it is written over only with --replace")
    for path in paths:
        if not path.resolve().is_relative_to(folder.resolve()):
            raise UseError.at(f"{path} lies outside {folder}: a link leads away from it")
        if path.is_dir():
            raise UseError.at(f"{path} is in the way: it is a folder")


def same_file(one: Path, other: Path) -> bool:
    """Whether two names are of one file, by links of either kind too; names of nothing are of one if they are equal."""
    return one == other or (os.path.exists(one) and os.path.exists(other) and one.samefile(other))


class _Swap:
    """Moves and new folders that can be taken back, in the middle of any of them too."""

    def __init__(self) -> None:
        self._back: list[Callable[[], object]] = []

    def move(self, start: Path, end: Path) -> None:
        """Moves a file or folder to where there is none."""
        self._back.append(lambda: None if os.path.lexists(start) else os.rename(end, start))
        os.rename(start, end)

    def put(self, new: Path, place: Path, old: Path) -> None:
        """Moves a file to its place, and what is there to `old`."""
        for folder in reversed([path for path in place.parents if not path.is_dir()]):
            self._back.append(folder.rmdir)
            folder.mkdir()
        if os.path.lexists(place):
            old.parent.mkdir(parents=True, exist_ok=True)
            self.move(place, old)
        self.move(new, place)

    def keep(self) -> None:
        """From now on there is nothing to take back."""
        self._back.clear()

    def take_back(self) -> None:
        """Brings everything back to where it was."""
        while self._back:
            with suppress(OSError):
                self._back[-1]()
            self._back.pop()


def _beside(folder: Path) -> Path:
    return folder / f".scrieve-{token_hex(16)}.part"


@contextmanager
def _tidied(tidy: Callable[[], object]) -> Iterator[None]:
    """Calls `tidy` afterwards, and if the process is told to stop meanwhile."""
    with tidied_away(tidy):
        try:
            yield
        finally:
            with suppress(OSError):
                tidy()


@contextmanager
def _refusing(shown: str) -> Iterator[None]:
    try:
        yield
    except OSError as error:
        raise UseError.at(f"cannot be written ({error.strerror or error})", path=shown) from error


def _write(part: Path, content: bytes, *, like: Path) -> None:
    """Writes a file that was not there, with the owner and permissions of `like` if that is."""
    try:
        kept = os.stat(like)
    except OSError:
        kept = None
    mode = 0o666 if kept is None else 0o600  # nobody else reads it before it has the permissions of the old one
    with open(part, "xb", opener=lambda name, flags: os.open(name, flags, mode)) as stream:
        stream.write(content)
    if kept is not None:
        with suppress(OSError, AttributeError):  # whoever may not give a file away, or a system without owners
            os.chown(part, kept.st_uid, kept.st_gid)
        os.chmod(part, stat.S_IMODE(kept.st_mode))
