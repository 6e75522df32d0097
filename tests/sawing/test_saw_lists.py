"""Saw lists as a helper reads them: what a line makes, its number, the signs and their key."""

from __future__ import annotations

import re
from collections import Counter

import pytest

from case_lists import mostly_thorough
from palewright.cutting_stock import PartDemand
from palewright.parameters.variant_files import shipped_variants
from palewright.sawing.numbered_plans import numbered_plans
from palewright.sawing.saw_lists import ready_pieces, saw_steps
from palewright_drawings.output.terminal import plain
from palewright_drawings.texts.cut_texts import plans_text, saw_key
from shipped_designs import shipped

NAMES = mostly_thorough(shipped_variants(), "herb-trough")


@pytest.mark.parametrize("name", NAMES)
def test_a_line_lists_only_what_its_stop_makes(name: str) -> None:
    """Every piece of a line has an edge as long as its stop; what is left over is told apart."""
    for one in shipped(name).saw_plans:
        sizes: dict[str, PartDemand] = {part.name: part for part in one.demand.parts}
        found: Counter[str] = Counter()
        left = 0
        for step in saw_steps(one.plan):
            for line in step.lines:
                for made in line.made:
                    part = sizes[made.part]
                    lengths = (part.length, *part.edge_lengths())
                    # slants count to a hundredth of a degree, which moves an edge by a hair
                    assert min(abs(line.size - length) for length in lengths) < 0.2, made
                    found[made.part] += made.count
                for rest in line.left:
                    found[rest.part] += rest.count
                    left += rest.count
        for ready in ready_pieces(one.plan):
            found[ready.part] += ready.count
        wanted: Counter[str] = Counter()
        for part in one.demand.parts:
            wanted[part.name] += part.count
        assert found == wanted
        assert left or name != "herb-trough"  # so that the test sees such a piece


@pytest.mark.parametrize("name", NAMES)
def test_settings_in_words_have_the_numbers_of_the_layouts(name: str) -> None:
    box = shipped(name)
    told = plain(plans_text(box.saw_plans, box.parameters.product.units))
    listed = [int(number) for number in re.findall(r"\[ \] +(\d+)  ", told)]
    numbered = numbered_plans(box.saw_plans)
    count = sum(len(step.lines) for plan in numbered for step in plan.steps if step.step.stage >= 0)
    assert listed == list(range(1, count + 1))
    on_layouts = {
        number
        for plan in numbered
        for one in plan.layouts
        for number in (*one.cuts, one.rip_number)
    }
    assert on_layouts - {0} == set(listed)
    in_words = {int(n) for some in re.findall(r", cuts? ([\d ]+)", told) for n in some.split()}
    blocks_and_strips = {
        number
        for plan in numbered
        for one in plan.layouts
        for cut, number in zip(one.layout.cuts, one.cuts, strict=True)
        if cut.stage in (1, 2)
    }
    assert in_words == blocks_and_strips


@pytest.mark.parametrize("name", NAMES)
def test_the_key_explains_once_the_signs_that_are_used_and_no_other(name: str) -> None:
    box = shipped(name)
    numbered = numbered_plans(box.saw_plans)
    told = plain(plans_text(box.saw_plans, box.parameters.product.units))
    lines = [line for line in told.splitlines() if "[ ]" in line or line.startswith(" " * 30)]
    signs = [sign for sign, _ in saw_key(numbered)]
    assert len(set(signs)) == len(signs)
    for sign in "^*!":
        marked = re.compile(rf"\w[\^*!]*{re.escape(sign)}[\^*!]*(?: |$)")
        used = any(marked.search(line) for line in lines)
        assert used == (sign in signs), sign
        # its meaning stands once, whatever the number of stocks
        assert len(re.findall(rf"^  {re.escape(sign)} +\w", told, re.M)) == used
