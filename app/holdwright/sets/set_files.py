"""What belongs to a set as a whole: shopping list, contact sheet, plates and report."""

import json
from pathlib import Path
from typing import Any, Final

from holdwright.export.staging import staged
from holdwright.pipeline.set_file import HoldSet
from holdwright.sets.contact_sheet import contact_sheet
from holdwright.sets.known_files import REPORT, sha256_of
from holdwright.sets.plates import lay_plates, write_plate
from holdwright.sets.run_set import MadeHold
from holdwright.sets.set_report import FinishedSet, plain_set, totals_of
from holdwright.sets.shopping_list import shopping_csv, shopping_list

SHOPPING: Final = "shopping-list.csv"
CONTACT: Final = "contact-sheet.pdf"


def write_set_files(of: HoldSet, made: tuple[MadeHold, ...], out: Path, key: str) -> dict[str, Any]:
    """Write what belongs to the set as a whole, all of it or none, and give its report.

    Raises
    ------
    OSError
        When the disk refuses.
    """
    laid = lay_plates(made, out)
    finished = FinishedSet(of, made, shopping_list(made), laid, key, totals_of(made))
    plain = plain_set(finished)
    by_name = {each.hold.name: each for each in made}
    with staged(out) as stage:
        for plate in laid.plates:
            write_plate(plate, by_name, out, stage / plate.file)
        (stage / SHOPPING).write_bytes(shopping_csv(finished.shopping))
        (stage / CONTACT).write_bytes(contact_sheet(finished, out))
        names = sorted(path.name for path in stage.iterdir())
        plain["files"] = [{"name": name, "sha256": sha256_of(stage / name)} for name in names]
        (stage / REPORT).write_text(json.dumps(plain, indent=2, ensure_ascii=False) + "\n", "utf-8")
    return plain
