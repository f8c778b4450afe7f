"""What belongs to a set as a whole: shopping list, contact sheet, plates and report."""

import json
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

from holdwright.export.staging import staged
from holdwright.pipeline.recipes.set_file import HoldSet
from holdwright.progress import Progress
from holdwright.sets.benches import Do, Work
from holdwright.sets.known_files import REPORT, sha256_of
from holdwright.sets.plates import PlateWork, lay_plates
from holdwright.sets.run_set import MadeHold
from holdwright.sets.set_report import FinishedSet, plain_set
from holdwright.sets.set_totals import totals_of
from holdwright.sets.shopping_list import shopping_csv, shopping_list

SHOPPING: Final = "shopping-list.csv"
CONTACT: Final = "contact-sheet.pdf"


@dataclass(frozen=True, eq=False)
class ContactWork:
    """A contact sheet to be written."""

    finished: FinishedSet
    out: Path
    """The set's folder."""
    path: Path

    def do(self, _progress: Progress) -> None:
        """Write it; raises `OSError` when the disk refuses."""
        from holdwright.sets.contact_sheet import contact_sheet  # loads what sets type, for one bench alone

        self.path.write_bytes(contact_sheet(self.finished, self.out))


def write_set_files(of: HoldSet, made: tuple[MadeHold, ...], out: Path, key: str, do: Do) -> dict[str, Any]:
    """Write what belongs to the set as a whole, all of it or none, and give its report.

    Parameters
    ----------
    do
        Does works, and gives their results in order.

    Raises
    ------
    OSError
        When the disk refuses.
    """
    laid = lay_plates(made, out, do)
    finished = FinishedSet(of, made, shopping_list(made), laid, key, totals_of(made))
    plain = plain_set(finished)
    parts = {each.hold.name: each.report["solids"] for each in made if each.report}
    with staged(out) as stage:
        works: list[Work] = [ContactWork(finished, out, stage / CONTACT)]
        for plate in laid.plates:
            held = {each.name: parts[each.name] for each in plate.placed}
            works.append(PlateWork(plate, held, out, stage / plate.file))
        (stage / SHOPPING).write_bytes(shopping_csv(finished.shopping))
        do(works)
        names = sorted(path.name for path in stage.iterdir())
        plain["files"] = [{"name": name, "sha256": sha256_of(stage / name)} for name in names]
        (stage / REPORT).write_text(json.dumps(plain, indent=2, ensure_ascii=False) + "\n", "utf-8")
    return plain
