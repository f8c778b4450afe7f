"""The open wall as the window sees it: its plan, the set that hangs on it, and its files."""

import json
import threading
from contextlib import suppress
from pathlib import Path

from PySide6.QtCore import QObject, Signal

from holdwright.errors import HoldwrightError, sentence_of
from holdwright.files.on_disk import Stamp, stamp_of
from holdwright.sets.known_files import REPORT
from holdwright.wall.hanging_hold import hanging_holds
from holdwright.wall.wall_file import ClimbingWall, folder_from, load_wall
from holdwright.wall.wall_plan import WallPlan


class WallWork(QObject):
    """Holds a wall. What reads a set, or writes the plan's files, does so in a thread.

    Attributes
    ----------
    path
        The wall's file; None while none is open.
    wall
        As it stands in its file.
    plan
        What hangs on it; None until the set's holds are read.
    set_folder
        Of the finished set; None while none is known.
    busy
        What is being done, in words; blank for nothing.

    Signals
    -------
    opened
        Another wall is open.
    changed
        Something else hangs there, or what is known or done has changed.
    failed
        Why something could not be done.
    said
        What was done.
    """

    opened = Signal()
    changed = Signal()
    failed = Signal(str)
    said = Signal(str)
    _read = Signal(int, object, str)
    _wrote = Signal(object, str)

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.path: Path | None = None
        self.wall = ClimbingWall()
        self.plan: WallPlan | None = None
        self.set_folder: Path | None = None
        self.busy = ""
        self._reading = 0
        self._stamp: Stamp | None = None
        self._read.connect(self._take_holds)
        self._wrote.connect(self._take_files)

    def open(self, path: Path) -> None:
        """Read a wall's file; `find_set` then brings the holds.

        Raises
        ------
        RecipeError
            When it is no wall, with what is wrong in it.
        """
        self.wall = load_wall(path)
        self.path, self._stamp = path.absolute(), stamp_of(path)
        self.plan, self.set_folder, self.busy = None, None, ""
        self._reading += 1
        self.opened.emit()

    def find_set(self, likely: Path | None = None) -> None:
        """Hang the set the wall's file names; where that is not there, one that has the holds placed.

        Parameters
        ----------
        likely
            Folder where such a one may be, looked into first; then those beside the wall's file.
        """
        named = self._folder / self.wall.set_folder if self.wall.set_folder else None
        if named is not None and (named / REPORT).is_file():
            self.use_set(named)
            return
        found = self._set_beside(likely)
        if found is not None:
            self.use_set(found)
        if named is not None:
            instead = f"; {found} has holds of the same names and was taken" if found else ""
            choose = "" if found else ", or choose another"
            self.failed.emit(
                f"The wall was made of the set in {named}, but no finished set is there{instead}; finish it "
                f"again{choose}."
            )

    @property
    def name(self) -> str:
        """What the wall is called."""
        return self.wall.name or (self.path.stem if self.path else "")

    @property
    def changed_on_disk(self) -> bool:
        """Whether another program has written the wall's file since it was read or saved."""
        return self.path is not None and stamp_of(self.path) not in (self._stamp, None)

    def use_set(self, folder: Path, *, chosen: bool = False) -> None:
        """Hang the holds of the finished set in a folder; one that was chosen is a change to be saved."""
        self.busy = "Reading the holds"
        self._reading += 1
        self.set_folder = folder
        self.changed.emit()

        name = folder_from(folder, self._folder) if chosen else self.wall.set_folder

        def read(number: int, wall: ClimbingWall) -> None:
            try:
                plan = WallPlan(wall, hanging_holds(folder))
                plan.name_set(name)
                self._read.emit(number, plan, "")
            except Exception as error:  # noqa: BLE001  told in the window
                self._read.emit(number, None, sentence_of(error)[0])

        threading.Thread(target=read, args=(self._reading, self.wall), daemon=True).start()

    def save(self, path: Path | None = None) -> bool:
        """Write the wall's file, or another that then is its file, and tell whether that went well."""
        target = path or self.path
        if self.plan is None or target is None:
            return False
        if self.set_folder is not None:
            self.plan.name_set(folder_from(self.set_folder, target.parent))
        try:
            self.plan.save(target)
        except HoldwrightError as error:
            self.failed.emit(str(error))
            return False
        self.path, self._stamp = target, stamp_of(target)
        self.wall = self.plan.wall
        self.said.emit(f"Saved {target.name}")
        self.changed.emit()
        return True

    def write_plan(self, out: Path) -> None:
        """Write drawing and mounting list into a folder."""
        plan = self.plan
        if plan is None or self.busy:
            return
        self.busy = "Writing the plan"
        self.changed.emit()
        wall, hung, findings = plan.wall, plan.hung, tuple(plan.findings)
        if self.set_folder is not None:
            wall = wall.model_copy(update={"set_folder": folder_from(self.set_folder, out)})
        left = [name for name, count in plan.left.items() for _ in range(max(count, 0))]

        def write() -> None:
            from holdwright.wall.wall_files import write_wall  # loads what sets type

            try:
                write_wall(wall, hung, findings, left, out)
                self._wrote.emit(out, "")
            except Exception as error:  # noqa: BLE001  told in the window
                self._wrote.emit(out, sentence_of(error)[0])

        threading.Thread(target=write, daemon=True).start()

    def _set_beside(self, likely: Path | None) -> Path | None:
        """Find a finished set that has the holds placed: the likely one, else one beside the wall's file."""
        wanted = {each.hold for each in self.wall.placed}
        folders = [likely] if likely is not None else []
        with suppress(OSError):
            folders += sorted(each.parent for each in self._folder.glob(f"*/{REPORT}"))
        for folder in folders:
            with suppress(OSError, ValueError, KeyError, TypeError):
                listed = json.loads((folder / REPORT).read_bytes())["holds"]
                if wanted <= {hold["name"] for hold in listed if "key" in hold}:
                    return folder
        return None

    @property
    def _folder(self) -> Path:
        return self.path.parent if self.path else Path()

    def _take_holds(self, number: int, plan: WallPlan | None, sentence: str) -> None:
        if number != self._reading:
            return
        self.plan, self.busy = plan, ""
        if plan is None:
            self.set_folder = None
        self.changed.emit()
        if sentence:
            self.failed.emit(sentence)

    def _take_files(self, out: Path, sentence: str) -> None:
        self.busy = ""
        self.changed.emit()
        if sentence:
            self.failed.emit(sentence)
        else:
            self.said.emit(f"Wrote the plan to {out}")
