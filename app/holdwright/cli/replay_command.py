"""``holdwright replay``: a recipe on one or more sculpts, into files for the printer."""

import argparse

from holdwright.catalogue.catalogue import load_catalogue
from holdwright.cli.child_supervisor import CommandResult, CommandWork
from holdwright.cli.export_options import listed_formats, requested_options
from holdwright.cli.replaying import requested_recipe
from holdwright.cli.text_format import finding_lines, findings_heading, strict_code
from holdwright.export.file_names import names_for
from holdwright.export.job import Exported, Job, export
from holdwright.export.options import ExportOptions
from holdwright.export.parts import HOLDING_DOWN, TAB_NAMES
from holdwright.files.reading import read_sculpt
from holdwright.joint.cautions import CAUTIONS
from holdwright.pipeline.recipes.source_file import is_revised
from holdwright.pipeline.replaying.joint_verdict import why_not_judged
from holdwright.pipeline.replaying.replay import replay
from holdwright.pipeline.views.strength_view import replay_with_strength
from holdwright.printable import printable
from holdwright.progress import Progress


def prepare(arguments: argparse.Namespace) -> CommandWork:
    """Prepare to replay the recipe on each sculpt and write its files."""
    recipe, recipe_path = requested_recipe(arguments)
    formats = listed_formats(arguments.formats)
    catalogue = load_catalogue()
    names = names_for(arguments.sculpts)
    options = requested_options(arguments)
    also_read = (recipe_path, *arguments.sculpts)

    def work(number: int, progress: Progress) -> CommandResult:
        path, name = arguments.sculpts[number], names[number]
        sculpt = read_sculpt(path, progress.part(0.0, 0.2))
        part = progress.part(0.2, 0.9)
        if options.strength:
            replayed = replay_with_strength(recipe, sculpt, path, catalogue, part)
        else:
            replayed = replay(recipe, sculpt, catalogue=catalogue, progress=part, check_print=True)
        job = Job(name, sculpt, path, recipe, recipe_path.stem, replayed, also_read)
        exported = export(job, arguments.out, formats, progress.part(0.9, 1.0), options=options)
        lines = _summary(name, exported, options)
        if replayed.joint is None:
            lines.append(f"  joint     {why_not_judged(replayed.hold)}")
        if is_revised(recipe, recipe_path, path, sculpt.digest):
            lines.insert(
                1, f"  note      {printable(path.name)} was changed since the recipe was saved for it"
            )
        return CommandResult("\n".join(lines), strict_code(arguments, exported.report.findings))

    return work


def _summary(name: str, exported: Exported, options: ExportOptions) -> list[str]:
    report = exported.report
    x, y, z = report.envelope.finished.size_mm
    seconds = sum(step.seconds for step in report.steps)
    lines = [
        printable(name),
        f"  size      {x:.1f} x {y:.1f} x {z:.1f} mm, {report.envelope.finished.circle_mm:.1f} mm across",
        f"  volume    {report.whole.volume_mm3 / 1000:.1f} cm3",
    ]
    shares = [
        f"{part} {solid.volume_mm3 / 1000:.1f} cm3"
        for part, solid in report.solids.items()
        if part not in HOLDING_DOWN
    ]
    if len(shares) > 1:
        lines[-1] += f": {', '.join(shares)}"
    if allowed := report.allowances.in_words:
        x, y, z = report.allowances.print_size
        lines.append(f"  print     {x:.1f} x {y:.1f} x {z:.1f} mm as in the files: {', '.join(allowed)}")
    lines.append(f"  pose      {report.pose.in_words}")
    if options.tabs:
        tabs = sum(name in TAB_NAMES for name in report.solids)
        lines.append(f"  tabs      {tabs or 'none: the outline on the bed has no sharp corner'}")
    if options.brim:
        lines.append(f"  brim      {options.brim:g} mm wide")
    lines.append(f"  findings  {findings_heading(report.findings)}")
    lines += [f"    {line}" for line in finding_lines(report.findings)]
    lines += [f"  wrote     {printable(path)}" for path, _ in exported.files]
    lines += [f"  older     {printable(path)} is from an earlier run" for path in exported.older]
    lines += [
        f"  note      {printable(path)} was left alone: it is not known to be ours"
        for path in exported.left_alone
    ]
    lines += [f"  note      {exported.note}"] if exported.note else []
    # The usual cautions stand once below all sculpts.
    lines += [f"  caution   {caution}" for caution in report.cautions if caution not in CAUTIONS]
    lines.append(f"  steps     {seconds:.2f} s")
    return lines
