"""What each finding means, why it has its limit, and where to look, in the maker's words."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Explanation:
    """One finding explained.

    Attributes:
        means: what happens to the box.
        why: why the limit is where it is.
        sketch: where to look, as a drawing in words.
    """

    means: str
    why: str
    sketch: str


_IN_WIND = "from the side: wind pushes the upper half, the box turns about its lower far edge"
_SLAT = "from the front, below the soil: slat over cleat, cleat screwed to the wall"
_CORNER = "from above, at a corner: front stile, behind it the side panel's edge"
_SCREW = "a cut along the screw: head, first board, second board, point"
_STAND = "from above: the stand's circle inside four walls"

EXPLANATIONS: dict[str, Explanation] = {
    "PW101": Explanation(
        "Two boards want the same place, so the box cannot be put together.",
        "Boards are laid out as thin, nominal and thick as they are sold; none may share room.",
        "from above: two rectangles that overlap",
    ),
    "PW102": Explanation(
        "A side panel is thicker than the step that it has to enter at the corner.",
        "The step takes the side panel's two thickest boards, one on the other, without force.",
        f"{_CORNER}; the step between stile and staves is the lip",
    ),
    "PW104": Explanation(
        "A side panel has so much room in its lip that it can be screwed on askew.",
        "Half an inch is what a hand still sets true by eye.",
        f"{_CORNER}; a wide gap beside it",
    ),
    "PW105": Explanation(
        "The two stiles that meet at a corner look unequally wide.",
        "The side's own stile is hidden in part by the front's thickness; an eye sees a sixteenth.",
        f"{_CORNER}; the front stile's edge adds to the side stile's face",
    ),
    "PW201": Explanation(
        "Two boards that a screw or glue should join do not touch.",
        "A screw through air bends, and glue does not bridge it.",
        "from the side: board, gap, board, with the screw across the gap",
    ),
    "PW202": Explanation(
        "Two boards touch, but over less wood than a screw's head or a drop of glue needs.",
        "Under each screw as much wood as its head covers; glue holds little on less.",
        "from the front: two boards that lap by a sliver",
    ),
    "PW203": Explanation(
        "A panel, or the whole box, comes apart: some boards hang on no screw that holds.",
        "Boards and screws are drawn as a net; each panel and the box must be one piece of it.",
        "from the front: a board with no screw to the rest",
    ),
    "PW205": Explanation(
        "The end of a board is free, so it cups and pulls away.",
        "A screw must come within a third of the board's length of each end.",
        "from the front: a stave held at the top rail and loose below",
    ),
    "PW206": Explanation(
        "Boards of unequal thickness leave a gap that screws go across.",
        "Adhesive that fills gaps bridges up to an eighth of an inch; the plan says where.",
        "from above: a cleat across two staves, one thinner than the other",
    ),
    "PW301": Explanation(
        "A screw does not reach the board that it should hold.",
        "Reckoned with the thickest boards that it goes through first.",
        f"{_SCREW} that ends before the second board",
    ),
    "PW302": Explanation(
        "A screw is longer than the boards are thick: its point scratches hands and liner.",
        "Reckoned with the thinnest boards that are sold under that name.",
        f"{_SCREW} that stands out of the far face",
    ),
    "PW303": Explanation(
        "A screw's point ends so close under the face that it shows in soft wood.",
        "One screw diameter of wood is left beyond the point.",
        f"{_SCREW} just under the far face",
    ),
    "PW304": Explanation(
        "A screw runs so near a board's edge that it splits it, drilled or not.",
        "One and a half diameters of wood beside the screw.",
        "from the edge: the screw beside the face, a thin wall of wood left",
    ),
    "PW305": Explanation(
        "Screws are nearer to an edge or an end than books advise. The plan drills them first.",
        "The advice is for structures, two and a half diameters to edges and ten to ends.",
        "from the front: holes close to a board's edge",
    ),
    "PW307": Explanation(
        "Two screws cross inside the wood.",
        "Half a diameter of wood has to be left between them.",
        "from above, at a corner: one screw from the front, one from the side",
    ),
    "PW308": Explanation(
        "A screw goes on into a third board that it should leave free.",
        "What is screwed through by accident cannot move, be taken out, or come together.",
        f"{_SCREW} in a board behind the second",
    ),
    "PW309": Explanation(
        "A screw sits so near a board's end that the wood tears out behind it.",
        "Three diameters to the end, drilled first.",
        "from the front: a hole at the very end of a board",
    ),
    "PW310": Explanation(
        "A screw's thread has too little wood to hold in.",
        "Two diameters are tapered point; two of full thread hold, in a thin board half of it.",
        f"{_SCREW} barely in the second board",
    ),
    "PW401": Explanation(
        "Parts that fit when they are there cannot get there in the stated order.",
        "Each is moved along its straight way in, past all that stands already.",
        "from the side: a part stopped by another on its way down",
    ),
    "PW501": Explanation(
        "Gaps in the floor are so narrow that they swell shut or clog with roots.",
        "An eighth of an inch.",
        "from above: slats with hairlines between them",
    ),
    "PW502": Explanation(
        "Soil falls through the floor, since there is no liner.",
        "Three quarters of an inch, and the corners beside the floor.",
        "from below: soil between the slats",
    ),
    "PW503": Explanation(
        "The floor hangs on screws in the ends of boards, from where they pull out.",
        "Design rules give screws in end grain no load in withdrawal at all.",
        "from the front: screws up through slats into the staves' lower ends",
    ),
    "PW504": Explanation(
        "The slats lie on so little of the cleat that they slip off when boards move.",
        "Half of a five-eighths cleat, with thin boards and the floor pushed to one side.",
        _SLAT,
    ),
    "PW505": Explanation(
        "Under the floor there is so little room that the box sits in its own water.",
        "Half an inch.",
        "from the front: ground, a slit, the floor",
    ),
    "PW601": Explanation(
        "The tree's stand is wider than the box inside.",
        "Inside of the thickest boards, with the air that tree.air asks for on both sides.",
        _STAND,
    ),
    "PW602": Explanation(
        "The tree's stand looks out over the box that should hide it.",
        "The stand's height against the top of the panels.",
        "from the front: the stand above the rim",
    ),
    "PW603": Explanation(
        "The trunk does not go through the opening that the cap leaves.",
        "Inner edges of the cap against the trunk.",
        "from above: the trunk's circle across the cap's boards",
    ),
    "PW604": Explanation(
        "A spout does not get past the trunk, so the tree cannot be watered.",
        "tree.spout beside the trunk, inside the cap.",
        "from above: cap, a narrow ring, trunk",
    ),
    "PW605": Explanation(
        "Stand or trunk stands where a board is.",
        "Neither may touch any board of the box.",
        _STAND,
    ),
    "PW701": Explanation(
        "A strip is so narrow that ripping it brings the hand to the blade.",
        "wall.safe_rip, an inch and a half unless you say otherwise.",
        "at the saw: fence, a thin strip, blade",
    ),
    "PW702": Explanation(
        "Two saw angles differ by so little that one would do for both.",
        "Three degrees. The plan sets each by itself.",
        "at the mitre gauge: two marks close together",
    ),
    "PW703": Explanation(
        "A board of the box is longer than those you buy.",
        "The stock's length less what squaring takes off both ends.",
        "beside each other: the part, the shorter board",
    ),
    "PW704": Explanation(
        "A board of the box is wider than those you buy.",
        "The stock's width less how far it may be narrow, ripped true.",
        "on each other: the part, the narrower board",
    ),
    "PW801": Explanation(
        "The quick check and the solids of the CAD kernel say different things: our mistake.",
        "Both are worked out apart, and must agree.",
        "two drawings of one box that differ",
    ),
    "PW900": Explanation(
        "Of this wood strength or shrinkage is not known, so some checks are left out.",
        "What is not known is not guessed.",
        "an empty line in the table of woods",
    ),
    "PW901": Explanation(
        "It is too heavy for one person to lift.",
        "51 lb close to the body, less the farther the hands are from it.",
        "from the side: arms stretched over the box's edge",
    ),
    "PW902": Explanation(
        "Even empty it is too heavy for two people.",
        "As for one person, twice.",
        "from the front: one person at each end",
    ),
    "PW903": Explanation(
        "Filled and wet it presses more on a square foot than the deck is designed for.",
        "The even load of site.deck_load, over the box's own ground.",
        "from the side: box, deck boards, joists",
    ),
    "PW904": Explanation(
        "Filled and wet it presses more than a usual deck is designed for, over its own ground.",
        "Such a load counts over the whole floor; ask somebody licensed before it stands there.",
        "from the side: box, deck boards, joists",
    ),
    "PW905": Explanation(
        "The wind that you ask for can tip it over.",
        "The wind's push against the weight, one and a half times over.",
        _IN_WIND,
    ),
    "PW906": Explanation(
        "A child's pull at the top can tip it over.",
        "site.pull, level, at the highest place that can be grasped.",
        "from the side: a hand at the top, the box turning about its near edge",
    ),
    "PW907": Explanation(
        "Wind on the tree is for the tree's own stand to carry: the box is none.",
        "The box only hides it.",
        "from the side: tree, stand, the box round it",
    ),
    "PW911": Explanation(
        "A board is bent more than an ungraded wet board is trusted with.",
        "Wet soil on it as on a beam; the stress is assumed low, since fence boards have no grade.",
        "from the front: a board sagging between its supports",
    ),
    "PW912": Explanation(
        "A board would break under wet soil.",
        "The average that small clear boards broke at in tests.",
        "from the front: a board snapped between its supports",
    ),
    "PW913": Explanation(
        "A board sags so far that it is seen.",
        "A judgement of the eye, not of strength.",
        "from the front: a slat in a shallow bow",
    ),
    "PW914": Explanation(
        "Wind bends the trellis more than its strips are trusted with.",
        "Wind on all strips, held at the box's rim.",
        _IN_WIND,
    ),
    "PW921": Explanation(
        "Screws are too short for a value of the standard: their load is told, not judged.",
        "Six diameters across the grain; a tip of two in pull.",
        f"{_SCREW} a few diameters deep",
    ),
    "PW922": Explanation(
        "A screw carries more than the standard gives it in wet wood.",
        "The standard's value, times seven tenths for wet service.",
        f"{_SCREW}, the boards sliding on each other",
    ),
    "PW923": Explanation(
        "Screws would pull out.",
        "The average pull at which screws came out in tests.",
        f"{_SCREW}, the first board lifting off",
    ),
    "PW925": Explanation(
        "The wood is so dense that its holes have to be drilled wider.",
        "The standard asks for wider leads in dense wood.",
        "beside each other: two drills",
    ),
    "PW926": Explanation(
        "The screws' coating is eaten by the wood's preservative, or stains its tannin.",
        "Preservers ask for hot-dip or stainless.",
        "from the front: black runs below each head",
    ),
    "PW927": Explanation(
        "Wind pulls a trellis's screws more than they hold.",
        "The standard's withdrawal, wet, for wind.",
        _IN_WIND,
    ),
    "PW928": Explanation(
        "A screw's value is one for holes of another size than the plan drills.",
        "From half of the value on it is told.",
        f"{_SCREW} in its hole",
    ),
    "PW931": Explanation(
        "The wall's boards swell more than the gaps between them take, and push the stiles apart.",
        "Swelling across the grain from the day they are ripped to the wettest of the year.",
        "from the front: staves shut against each other, a stile bowed out",
    ),
    "PW932": Explanation(
        "In a dry summer gaps open between the boards of the wall.",
        "More than an eighth of an inch is seen.",
        "from the front: daylight between staves",
    ),
    "PW933": Explanation(
        "Wet soil lies against wood that is treated for use above ground only.",
        "Use categories of preserved wood; a liner keeps the soil off.",
        "from above: soil against the staves",
    ),
    "PW934": Explanation(
        "So little of the floor is open that water stands on it.",
        "A share of the floor, a judgement.",
        "from above: wide slats, narrow gaps",
    ),
}  # fmt: skip
"""By code. Limits are named as in the checks; ``findings.CODES`` has their source."""
