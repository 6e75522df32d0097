"""What the printed plan says, read as its builder reads it: nothing in it is wrong or foreign."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Sequence
from functools import cache, partial

import pytest

from case_lists import mostly_thorough
from palewright.assembly.assembly_steps import AssemblyStep, assembly_steps
from palewright.jigs.records import Jig
from palewright.parameters.variant_files import find_variant, relatives_of, shipped_variants
from palewright.reading.lengths import INCH, read_length
from palewright.reading.quantities import print_mass
from palewright_drawings.documents.plan.content import plan_content, plan_pdf
from palewright_drawings.documents.plan.jigs import jigs_for
from palewright_drawings.documents.plan.likewise import told_likewise
from palewright_drawings.documents.plan.maps import maps
from palewright_drawings.documents.plan.sold_words import at_a_glance, strength_lines
from palewright_drawings.documents.plan.steps import step_lines
from palewright_drawings.documents.plan.told_steps import said_once, told_steps
from palewright_drawings.output.progress import Silent
from pdf_pages import page_texts
from shipped_designs import shipped, sold_plan

Place = tuple[str, tuple[tuple[float, ...], ...]]
"""What something is and its points, mm."""

VARIANTS = mostly_thorough(shipped_variants(), "winter-tub", "terrace-crate")


@cache
def pages_of(name: str) -> list[str]:
    """The pages of the maker's own plan."""
    return page_texts(plan_pdf(shipped(name)))


@cache
def read(name: str) -> str:
    """The whole plan as one text."""
    return " ".join(pages_of(name))


FOREIGN = re.compile(
    r"\d[\d/.-]* ?(?:inch(?:es)?|in|\"|ft|lbf|lb|psf|psi|mph|°F)(?![a-z])|#\d|\bplywood, 1/2"
)
"""A size or weight that a metric shop has no tool for."""


def test_a_metric_plan_speaks_metric() -> None:
    told = read("terrace-crate").replace("1 in square", "")  # one of the two squares to measure
    assert FOREIGN.findall(told) == []
    assert "12 mm plywood" in told and "3.5 × 25 mm" in told and "km/h" in told
    assert not re.search(r"\d\.\d mm plywood", told)


def test_a_foreign_unit_would_be_seen() -> None:
    assert len(FOREIGN.findall("3/32 in (2.5 mm), 27 lb (12 kg), #6 x 25 mm, 40 psf, 8 mph")) == 5


SERVED = {"slat-spacer": {"slat"}, "stave-spacer": {"stave", "filler"}, "cap-gauge": {"cap"}}
"""Roles that a jig without guide holes sets, by its name."""


def serves(jig: Jig, step: AssemblyStep, name: str) -> bool:
    """Whether a jig guides a screw of a step, or sets a board that comes on by itself in it."""
    guided = {screw for pose in jig.poses for _, screw in pose.served}
    if guided & {screw.name for screw in step.screws}:
        return True
    box = shipped(name).box
    loose = [box.boards[board] for board in step.added]
    if not step.panels:
        finished = {"front", "back", "left", "right", "trellis"}
        loose = [board for board in loose if board.panel not in finished and step.standing]
    return any(board.role in SERVED.get(jig.name, ()) for board in loose)


@pytest.mark.parametrize("name", VARIANTS)
def test_each_step_names_the_jigs_that_serve_it_and_no_other(name: str) -> None:
    of = shipped(name)
    for step in assembly_steps(of.box):
        told = [title for title in jigs_for(of, step).split("; ") if title]
        assert told == [jig.title for jig in of.jigs.jigs if serves(jig, step, name)], step.key


@pytest.mark.parametrize("name", VARIANTS)
def test_no_two_jigs_have_the_same_words(name: str) -> None:
    titles = [frozenset(re.findall(r"[\w-]+", jig.title)) for jig in shipped(name).jigs.jigs]
    assert len(set(titles)) == len(titles)
    engraved = [
        tuple(sorted(words.text for words in jig.plate.words)) for jig in shipped(name).jigs.jigs
    ]
    assert len(set(engraved)) == len(engraved)


@pytest.mark.parametrize("name", VARIANTS)
def test_ends_are_called_clipped_only_where_boards_are(name: str) -> None:
    of = shipped(name)
    clipped = any(board.stock.clipped_end > 0 for board in of.box.boards.values())
    squaring = re.findall(
        r"Square one end of every board(, the one that is not clipped)?", read(name)
    )
    stocks = [plan.demand.board.clipped_end > 0 for plan in of.saw_plans]
    assert [bool(told) for told in squaring] == stocks
    assert any(stocks) == clipped


@pytest.mark.parametrize("name", VARIANTS)
def test_every_slant_has_one_number(name: str) -> None:
    """Angles of the parts, the saw list, the stop blocks and the views are the same few."""
    of = shipped(name)
    exact = {
        round(angle, 6)
        for part in of.parts
        for angle in (*part.left_angles, *part.right_angles)
        if angle > 0.05
    }
    printed = {float(told) for told in re.findall(r"(?<!to )\b([\d.]+)° off square", read(name))}
    assert len(printed) <= len({round(angle, 2) for angle in exact})
    assert all(min(abs(one - angle) for angle in exact) <= 0.0551 for one in printed)


def test_no_glue_where_the_box_opens_again() -> None:
    """Two front corners are glued; the back's corners, between which the tree goes, are dry."""
    of = shipped("winter-tub")
    steps = {step.text: " ".join(step_lines(of, step)) for step in assembly_steps(of.box)}
    first = next(told for text, told in steps.items() if text.startswith("lay on three"))
    last = next(told for text, told in steps.items() if text.startswith("close the back"))
    assert "Glue the front-left and front-right corners of the cap" in first
    assert "without glue" in last and "glue for outdoors" not in last
    tub = shipped("stoop-tub")
    (cap,) = [step for step in assembly_steps(tub.box) if step.text == "lay the cap on"]
    assert any(line.startswith("Glue all corners of the cap") for line in step_lines(tub, cap))


@pytest.mark.parametrize("name", VARIANTS)
def test_a_plus_between_numbers_means_nothing(name: str) -> None:
    assert re.findall(r"\d \+ \d", read(name)) == []


@pytest.mark.parametrize("name", VARIANTS)
def test_screws_without_a_map_are_told_where_the_boards_have_their_holes(name: str) -> None:
    """Places along a board and from its edge, as printed, are those of the holes in that board."""
    of, system = shipped(name), shipped(name).parameters.product.units
    unit, step = ("in", INCH / 16) if system == "inch" else ("mm", 1.0)

    def sizes(text: str) -> list[float]:
        plain = re.sub(r" (full|bare)", "", text)
        return [read_length(f"{one} {unit}") for one in plain.split(", ")]

    line = re.compile(
        rf"(\d+) screws (\S+ × \S+(?: in| mm)) through .*?: (?:\d+ each, )?([\d/, a-z-]+?) {unit} "
        rf"(?:up from|from) the .*?, ([\d/, a-z-]+?) {unit} from its (\w+) edge\."
    )
    for one in assembly_steps(of.box):
        told = [m for text in step_lines(of, one) if (m := line.match(text.replace("\u00a0", " ")))]
        for match in told:
            kind = match[2].replace("×", "x").replace("\u00a0", " ")
            screws = [s for s in one.screws if s.kind.label == kind]
            for place in sizes(match[3]):
                near = [
                    min(abs(x - place), abs(of.box.boards[s.stack[0]].length - x - place))
                    for s in screws
                    for x in [of.box.boards[s.stack[0]].placement.into(s.head)[0]]
                ]
                assert min(near) <= step / 2 + 0.01
            for place in sizes(match[4]):
                near = [
                    min(abs(y - place), abs(of.box.boards[s.stack[0]].width - y - place))
                    for s in screws
                    for y in [of.box.boards[s.stack[0]].placement.into(s.head)[1]]
                ]
                assert min(near) <= step / 2 + 0.01
        mapped = sum(
            int(m[1])
            for text in step_lines(of, one)
            if (m := re.match(r"(\d+) screws .* on the panel's map", text))
        )
        assert mapped + sum(int(match[1]) for match in told) == len(one.screws), one.key


def seen(name: str, panel: str) -> tuple[Counter[Place], Counter[Place]]:
    """Boards and screws of a panel by role or kind and where their corners or heads are.

    mm from the panel's middle as who stands before it sees it: to the right, up, towards him.
    """
    box = shipped(name).box
    right, toward = {"front": (1, -1), "back": (-1, 1)}[panel]
    boards = {b.name: b for b in box.boards.values() if b.panel == panel}

    def at(point: Sequence[float]) -> tuple[float, ...]:
        return tuple(round(v, 1) + 0.0 for v in (right * point[0], point[2], toward * point[1]))

    lain = Counter((b.role, tuple(sorted(map(at, b.corners)))) for b in boards.values())
    driven = Counter(
        (s.kind.label, (at(s.head),)) for s in box.screws if set(s.stack) <= boards.keys()
    )
    return lain, driven


def test_a_back_that_is_the_front_without_its_brace_is_told_by_it() -> None:
    """What the plan leaves out of the map and the steps of the back is the brace and its screws."""
    for name in ("bean-tower", "market-gable"):
        of = shipped(name)
        ((kind, like),) = told_likewise(of).items()
        assert (kind, like.first) == (("back",), ("front",))
        (front, screws), (back, others) = seen(name, "front"), seen(name, "back")
        assert not back - front and not others - screws
        assert {role for role, _ in front - back} == {"brace"}
        assert sorted(like.without) == sorted(
            n for n in of.box.boards if n.startswith("front.brace")
        )
        into = {s.name for s in of.box.screws if set(s.stack) & set(like.without)}
        assert len(screws - others) == len(into) > 0
        (told,) = [one for title, (one, *_) in told_steps(of) if title == "The back panel"]
        marks = {part.mark for part in of.parts if set(part.boards) & set(like.without)}
        assert told.number == "4 to 6" and told.title == (
            f"As in steps 1 to 3, without {', '.join(sorted(marks))}"
        )
        counted = sum(int(m[1]) for line in told.lines if (m := re.match(r"(\d+) screws", line)))
        assert counted == sum(others.values())
        taken = Counter(dict(told.take))
        assert taken.total() == sum(back.values()) and not taken.keys() & marks
        (page,) = [one for one in maps(of, 180.0, 243.0, with_jigs=False) if one["also"]]
        assert page["title"] == "The front panel" and "The back panel likewise" in page["also"][0]


def test_a_panel_of_another_size_has_its_own_map_and_steps() -> None:
    assert told_likewise(shipped("stoop-tub")) == {}
    moved = shipped("bean-tower", "face.front=plain", "face.back=slant")
    assert told_likewise(moved) == {}, "what comes on besides has to be shown"


@pytest.mark.parametrize("name", VARIANTS)
def test_a_step_that_points_back_points_to_the_words_that_it_leaves_out(name: str) -> None:
    of = shipped(name)
    full = [step_lines(of, step) for step in assembly_steps(of.box)]
    for _, steps in told_steps(of):
        for one in (one for one in steps if one.number.isdigit()):
            whole = full[int(one.number) - 1]
            gone = [line for line in whole if line not in one.lines]
            pointers = [line for line in one.lines if line not in whole]
            for line in pointers:
                (number,) = re.findall(r"(?:As|rill and sink as) in step (\d+)\.", line)
                assert int(number) < int(one.number)
                assert set(gone) & set(full[int(number) - 1])
            assert all(any(line in full[i] for i in range(int(one.number) - 1)) for line in gone)
            assert bool(gone) == bool(pointers)
            assert [line for line in whole if line[0].isdigit()] == [
                line for line in one.lines if line[0].isdigit()
            ]


@pytest.mark.parametrize("name", VARIANTS)
def test_no_step_asks_for_a_32nd(name: str) -> None:
    of = shipped(name)
    told = " ".join(line for step in assembly_steps(of.box) for line in step_lines(of, step))
    assert re.findall(r"/(?:32|64) in(?! for)", told.replace("\u00a0", " ")) == []


SIZES = {
    "inch": re.compile(
        r"\d/(?:32|64)\b(?! in (?:pilot|clearance|for the|bit)| IN +STOP| in?\)|\d)"
    ),
    "metric": re.compile(r"\d\.\d+(?: [×x] \d+)* mm(?! (?:pilot|clearance|for the|bit))"),
}
"""Sizes between the lines of a tape; drills are bought by such numbers, tapes have none."""


@pytest.mark.parametrize("name", VARIANTS)
def test_every_printed_size_is_on_the_tape_or_says_full_or_bare(name: str) -> None:
    """All pages but the bench's figures of strength; metric screws are called by tenths."""
    system = shipped(name).parameters.product.units
    for told in (read(name).partition("Weight and strength of this box")[0], " ".join(sold(name))):
        plain = re.sub(r"\b\d\.\d × \d+ mm", "", told)
        found = [plain[max(0, m.start() - 9) : m.end() + 9] for m in SIZES[system].finditer(plain)]
        assert found == []


def test_a_size_off_the_tape_would_be_seen() -> None:
    assert SIZES["inch"].findall("3-7/32 in, 11/64 in for the shank, 3/32 in pilot holes") == [
        "7/32"
    ]
    assert SIZES["metric"].search("102.4 × 16 mm") and not SIZES["metric"].search("2.5 mm for the")


@cache
def sold(name: str) -> list[str]:
    """The pages of the edition for a buyer."""
    return page_texts(sold_plan(name))


@pytest.mark.parametrize("name", VARIANTS)
def test_the_buyers_edition_has_no_name_of_the_house_and_no_guess(name: str) -> None:
    of, told = shipped(name), " ".join(sold(name))
    stocks = {*of.parameters.materials.stocks, *of.parameters.materials.woods}
    named = {one for one in stocks if "-" in one and re.search(rf"\b{one}\b", told)}
    assert named == set()
    assert re.findall(r"judgement|from memory|PW\d+|\b[a-z]+\.[a-z_]+\b|\w+_\w+|NIOSH", told) == []
    assert not re.search(r"\bJig: |Corner jig|Stop block", told)
    assert "In this plan" in told and "Saw list" in told and "Weight and strength" in told


@pytest.mark.parametrize("name", VARIANTS)
def test_the_buyers_edition_speaks_one_system_and_no_name_of_a_file(name: str) -> None:
    told = " ".join(sold(name)).replace("1 in square", "").replace("50 mm square", "")
    if shipped(name).parameters.product.units == "metric":
        assert FOREIGN.findall(told) == []
    else:
        assert re.findall(r"\d ?(?:mm|cm|kg|kPa|MPa|km/h|litres?|°C)\b", told) == []
    assert "no source" not in told and "cubic feet (" not in told
    if "-" in name:
        assert name not in told


@pytest.mark.parametrize("name", mostly_thorough(shipped_variants(), "winter-tub-small"))
def test_other_sizes_are_told_over_the_cap_as_on_the_cover(name: str) -> None:
    of = shipped(name)
    rows = plan_content(of, Silent(), partial(relatives_of, find_variant(name)))["family-sizes"]
    for row in (row for row in rows if row["this"]):
        assert row["size"] == dict(at_a_glance(of))["outside, over the cap"]


@pytest.mark.parametrize("name", VARIANTS)
def test_the_gap_that_is_right_in_the_lip_is_that_of_all_lumber(name: str) -> None:
    """What the lip is deeper than the side's two boards: thickest and thinnest of the stock."""
    of = shipped(name)
    front = [board for board in of.box.boards.values() if board.panel == "front"]

    def left(*roles: str) -> float:
        return min(c[0] for board in front if board.role in roles for c in board.corners)

    lip, stock = left("stave", "filler") - left("stile"), of.box.sizes.board
    least, most = lip - 2 * stock.thickest, lip - 2 * stock.thinnest
    step, unit = (INCH / 16, "in") if of.parameters.product.units == "inch" else (1.0, "mm")
    told = re.findall(r"a gap of ([\d/-]+).*? to ([\d/-]+).*? is right", read(name))
    in_lips = any("its lip" in one.text for one in assembly_steps(of.box))
    assert bool(told) == in_lips == (least < INCH / 2), "a deep lip leaves a gap that nobody minds"
    for low, high in told:
        assert abs(read_length(f"{low} {unit}") - least) <= step / 2 + 0.01
        assert abs(read_length(f"{high} {unit}") - most) <= step / 2 + 0.01


@pytest.mark.parametrize("name", VARIANTS)
def test_the_plan_says_what_is_brushed_on_before_and_that_the_finish_comes_last(name: str) -> None:
    of = shipped(name)
    treated = any("treated" in board.stock.meaning for board in of.box.boards.values())
    wet = "preservative on all cut ends" if treated else "the finish on all end grain"
    told = re.findall(
        r"Before the first step brush (.*?) and let it dry\. (.*?) comes last", read(name)
    )
    glued = " but those that are glued" if of.parameters.cap.style != "none" else ""
    assert told == [(f"{wet}{glued},", "The finish" if treated else "The rest of it")]


def test_packers_are_placed_by_the_tape() -> None:
    """From the side's wall, apart, from the top: read off the boards' own corners."""
    of = shipped("bean-tower")
    (step,) = [one for one in assembly_steps(of.box) if "packers" in one.text]
    boards = of.box.boards

    def span(names: Sequence[str], axis: int) -> tuple[float, float]:
        along = [corner[axis] for one in names for corner in boards[one].corners]
        return min(along), max(along)

    packers = sorted(step.added, key=lambda one: span([one], 0)[0])
    left = span([one for one in boards if one.startswith("left.")], 0)[1]
    staves = [one for one in boards if boards[one].panel == "back" and boards[one].role == "stave"]
    wanted = {
        "From each side's wall to the first packer": span(packers[:1], 0)[0] - left,
        "Between packers": span(packers[1:2], 0)[0] - span(packers[:1], 0)[1],
        "From the staves' upper ends down to the packers": span(staves, 2)[1] - span(packers, 2)[1],
    }
    lines = [line.replace("\u00a0", " ") for line in step_lines(of, step)]
    told = {m[1]: m[2] for line in lines if (m := re.match(r"(.*): (.* in.*)\.$", line))}
    for what, size in wanted.items():
        if size > 0.5:
            plain = re.sub(r" (full|bare)", "", told[what])
            assert abs(read_length(plain) - size) <= INCH / 32 + 0.01


@pytest.mark.parametrize("name", VARIANTS)
def test_where_a_step_drives_two_kinds_each_says_its_drills(name: str) -> None:
    of = shipped(name)
    for step in assembly_steps(of.box):
        lines = [line.replace("\u00a0", " ") for line in step_lines(of, step)]
        drills = [line for line in lines if re.match(r"(Drill|For .* drill) \d", line)]
        if len(drills) > 1:
            kinds = {screw.kind.label.replace(" x ", " × ") for screw in step.screws}
            assert {re.match(r"For (.*) drill ", line)[1] for line in drills} <= kinds  # type: ignore[index]


@pytest.mark.parametrize("name", VARIANTS)
def test_the_buyers_edition_is_shorter_and_tells_strength_in_a_few_lines(name: str) -> None:
    of = shipped(name)
    lines = strength_lines(of)
    assert 2 <= len(lines) <= 6
    assert len(sold(name)) + 4 <= len(pages_of(name))
    system = of.parameters.product.units
    empty = print_mass(of.loads.weights.empty.mass, system)
    assert empty in lines[0] and f"about {empty}" in sold(name)[0]
    assert not any("(" in line and " kg)" in line for line in lines)
    facts = dict(at_a_glance(of))
    assert ("soaked" in facts["weight, empty"]) == of.loads.weights.filled
    assert facts["put together with"] == f"{len(of.box.screws)} screws"


@pytest.mark.parametrize("name", VARIANTS)
def test_parts_stand_on_one_page_with_their_figure(name: str) -> None:
    of, pages = shipped(name), sold(name)
    (page,) = [text for text in pages if text.startswith("Parts ") and "Lengths run along" in text]
    if len(of.parts) <= 16:
        for part in of.parts:
            assert re.search(rf"\b{part.mark}\b", page), part.mark
            assert f"{part.count} {part.role}" in page


def test_what_an_earlier_step_said_is_told_by_its_number() -> None:
    """Drilling is named, screws and short sentences are said again, and nothing twice in a step."""
    drill = "Drill 11/64 in for the shank, 1 in deep, then 3/32 in for the thread. Sink the heads."
    other = "For #8 x 2 in drill 11/64 in for the shank, then 3/32 in for the thread, 2 in deep."
    hint = "Dry, on a flat bench: close every joint, square it by the diagonals; drill nothing yet."
    screws = (
        "17 screws #8 x 1 in, drilled for and driven as on the map of this panel, as told there."
    )
    short = "Between staves: 3/16 in."
    told: dict[str, int] = {}
    lines = [drill, other, hint, screws, short]
    assert said_once(lines, 3, told) == lines
    assert said_once([*lines, hint], 7, told) == [
        "Drill and sink as in step 3.",
        "For #8 x 2 in drill and sink as in step 3.",
        "As in step 3.",
        screws,
        short,
    ]
