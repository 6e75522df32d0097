"""The build command's packet of a batch, and what has to hold before any packet is written."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import click

from palewright.costing.batch_price import price_batch
from palewright.costing.shop_file import Shop
from palewright.design import Design
from palewright.parameters.variant_files import Variant
from palewright.reading.errors import InputError
from palewright_drawings.cli.asked_box import mending_of
from palewright_drawings.cli.cut_requests import read_batch, told
from palewright_drawings.cli.options import say
from palewright_drawings.output.progress import Progress
from palewright_drawings.packet.batch_writers import BATCH_WRITERS, BatchRequest
from palewright_drawings.packet.packet import write_packet
from palewright_drawings.packet.writers import asked_kinds
from palewright_drawings.texts.check_text import findings_text, verdict_line, wrong_text
from palewright_drawings.texts.second_opinion import solid_opinions


def may_be_written(found: Variant, box: Design, despite_faults: bool, progress: Progress) -> bool:
    """Check a box, say what is found and mends it, and return whether its packet is written.

    Args:
        found: the variant.
        box: its design, its boards laid out.
        despite_faults: write it although it does not fit.
        progress: told each stage.
    """
    system = box.parameters.product.units
    if box.verdict.findings:
        say(wrong_text(box, found, mending_of(found, box, progress.note)))
    if not box.verdict.passed and not despite_faults:
        say([verdict_line(box), "nothing written; mend it, or add --despite-faults"])
        return False
    (opinion,) = solid_opinions(box, ("nominal",), progress)
    if not opinion.agrees:
        say(findings_text(opinion.findings, system))
    return opinion.agrees or despite_faults


def build_batch(
    variants: Sequence[str],
    settings: Sequence[str],
    out: Path,
    kinds: Sequence[str],
    figures: tuple[Shop, str],
    ways: tuple[bool, bool],
    progress: Progress,
) -> bool:
    """Check each variant of a batch and write the batch's packet; return whether all fit.

    Args:
        variants: names or paths, each with ``:COUNT`` or without.
        settings: ``KEY=VALUE`` for every variant.
        out: where the packet's folder goes.
        kinds: of files to write; all usual ones where there are none.
        figures: the shop's, and where they come from.
        ways: write it although a box does not fit; take the fewest boards.
        progress: told each stage.

    Raises:
        InputError: for anything that cannot be used.
    """
    despite_faults, fewest = ways
    chosen = asked_kinds(kinds, table=BATCH_WRITERS)
    read = read_batch(variants, settings)
    for found, box, _ in read:
        if not may_be_written(found, box, despite_faults, progress):
            return False
    batch = [(box, count) for _, box, count in read]
    shop, source = figures
    progress.begin("cut plan", 100)
    try:
        priced = price_batch(batch, shop, progress=told(progress), weigh_saw=not fewest)
    except InputError as error:
        raise error if error.file else error.at(file=source) from None
    folder = write_packet(BatchRequest(priced, shop, source), out, chosen, progress, say)
    say([verdict_line(box) for box, _ in batch])
    click.echo(str(folder))
    return all(box.verdict.passed for box, _ in batch)
