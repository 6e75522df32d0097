"""The parameters of a box: frozen records, one table of the variant file each.

Lengths are millimetres. Every field says its unit, range and meaning; `schema` makes
the template, the JSON Schema and the reference table from these records.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import cached_property
from typing import Any, Literal, Self

from pydantic import Field

from palewright.catalogue.climates import CITIES, CityName, SeasonName
from palewright.catalogue.fillings import Filling
from palewright.catalogue.lumber import Species, Stock
from palewright.parameters.chosen_materials import Materials
from palewright.reading.fields import (
    AutoLength,
    Force,
    Length,
    Pressure,
    Record,
    Speed,
    Temperature,
    choice_field,
    count_field,
    length_field,
    quantity_field,
    text_field,
    yes_no_field,
)

JigPlate = Literal["whole", "half"]


class JigTable(Record):
    """What the drilling jigs are made from, and how they guide the drill."""

    thickness: Length = length_field("1/2 in", "1/8 in", "1 in", "plywood of plates and fences")
    plate: JigPlate = choice_field(
        "whole",
        "one plate a panel where the sheet allows, or half plates, reversed where spacing allows",
        ("whole", "half"),
    )
    sheet_length: Length = length_field("48 in", "12 in", "96 in", "no plate is longer")
    sheet_width: Length = length_field("24 in", "6 in", "60 in", "no plate is wider")
    guide: AutoLength = length_field(
        "auto", "1/16 in", "3/4 in", "guide holes; auto: the clearance bit; or a bushing's outside"
    )
    margin: Length = length_field(
        "1/16 in", "1/64 in", "1/2 in", "wood left in front of the bit in the thinnest lumber"
    )
    slack: Length = length_field("1/64 in", "0 in", "1/16 in", "notches are longer than tabs by it")
    letter: Length = length_field("5/16 in", "1/8 in", "1 in", "height of engraved capitals")


BoxKind = Literal["planter", "tree"]
StaveLayout = Literal["filler", "equal"]
CapStyle = Literal["mitre", "butt", "none"]
CornerStyle = Literal["edge", "post"]
FloorKind = Literal["cleats", "hung", "none"]
SizeShape = Literal["auto", "square", "oblong"]
SizeLooks = Literal["free", "drawn"]
SizeWalls = Literal["either", "drawn"]
SawOrder = Literal["best", "crosscut-first", "rip-first"]
Coating = Literal["rated", "hot-dip", "stainless", "zinc", "plain"]
Ground = Literal["anywhere", "ground", "deck"]
UnitSystem = Literal["inch", "metric"]
Grows = Literal["flowers", "herbs"]
PlanColor = Literal["blue", "green", "teal", "plum", "wine", "rust", "brown", "slate"]
Paper = Literal["auto", "letter", "tabloid", "a4", "a3"]
LabelSheetName = Literal[
    "auto", "letter-3x10", "letter-2x10", "letter-2x5", "a4-3x8", "a4-3x7", "a4-2x7"
]


class ProductTable(Record):
    """What the product is called."""

    title: str = text_field("Untitled box", "what the customer reads")
    note: str = text_field("", "one line for the shop")
    grows: Grows = choice_field(
        "flowers",
        "what its pictures show in it; a listing speaks of herbs too",
        ("flowers", "herbs"),
    )
    units: UnitSystem = choice_field("inch", "how lengths are printed", ("inch", "metric"))


class BoxTable(Record):
    """Outside size over the panels; the cap's overhang is beyond it."""

    kind: BoxKind = choice_field("planter", "what stands inside", ("planter", "tree"))
    width: Length = length_field("20 in", "6 in", "96 in", "outside, along the front")
    depth: Length = length_field("20 in", "6 in", "96 in", "outside, front to back")
    height: Length = length_field("15 in", "4 in", "72 in", "from the ground to the top of the cap")
    foot: Length = length_field("1-1/2 in", "0 in", "12 in", "clear height below the bottom rail")


class LumberTable(Record):
    """Which stock each kind of board is cut from."""

    board: str = choice_field("fence-58", "stock of panels and floor, of palewright list lumber")
    cap: str = choice_field("same", "stock of the cap, of palewright list lumber, or same")
    post: str = choice_field("two-by-2", "stock of corner posts, of palewright list lumber")
    strip: str = choice_field("same", "stock of the trellis, of palewright list lumber, or same")
    seed: int = count_field(1, 0, 1_000_000, "which pile of boards the mixed lumber case draws")


class PanelTable(Record):
    """The lapped panels: an outside frame with staves behind it."""

    stile_width: Length = length_field("3-1/4 in", "1 in", "12 in", "visible width of a stile")
    side_stile_width: AutoLength = length_field(
        "auto", "1/2 in", "12 in", "the side panels' own stile; auto: looks equal at the corner"
    )
    rail_width: Length = length_field("3 in", "1 in", "12 in", "front and back rails")
    side_rail_width: AutoLength = length_field(
        "auto", "1 in", "12 in", "the side panels' rails; auto: as in front"
    )
    lip: AutoLength = length_field(
        "auto", "1/4 in", "8 in", "stile beyond the staves; auto: two thickest boards and the play"
    )
    setback: AutoLength = length_field(
        "auto",
        "0 in",
        "8 in",
        "side staves stop so short; auto: the play, or clear of the outer staves in a shallow lip",
    )
    play: Length = length_field(
        "1/16 in", "0 in", "1/2 in", "added to the automatic lip and setback"
    )


class FaceTable(Record):
    """What fills the opening of each panel's frame."""

    front: str = choice_field("plain", "face pattern, of palewright list faces")
    sides: str = choice_field("same", "face pattern, of palewright list faces, or same as front")
    back: str = choice_field("same", "face pattern, of palewright list faces, or same as front")
    brace_width: Length = length_field("2 in", "3/4 in", "8 in", "slanted boards and middle rails")
    bar_width: Length = length_field("1-1/2 in", "3/4 in", "8 in", "upright and level bars")
    bar_gap: Length = length_field("3 in", "1/2 in", "24 in", "greatest gap between bars")


class WallTable(Record):
    """The staves behind the frame."""

    layout: StaveLayout = choice_field(
        "filler", "full boards and a ripped filler, or all equal", ("filler", "equal")
    )
    gap: AutoLength = length_field(
        "auto", "0 in", "1/2 in", "gap between staves; auto: what the widest stave swells"
    )
    rail_lap: AutoLength = length_field(
        "auto", "1/4 in", "12 in", "staves run so far over both rails; auto: over all of them"
    )
    stile_lap: AutoLength = length_field(
        "auto",
        "1/4 in",
        "8 in",
        "outermost staves run so far over the stiles; auto: as panel.lip and panel.setback leave",
    )
    safe_rip: Length = length_field("1-1/2 in", "1/2 in", "3 in", "no strip is ripped narrower")
    stave_width: AutoLength = length_field(
        "auto", "1 in", "12 in", "widest stave; auto: the stock's true width"
    )


class CapTable(Record):
    """The flat trim on top."""

    style: CapStyle = choice_field("mitre", "how the corners meet", ("mitre", "butt", "none"))
    width: Length = length_field("3-1/2 in", "1 in", "12 in", "width of the cap boards")
    overhang: Length = length_field("3/4 in", "0 in", "4 in", "beyond the panels, all round")


class CornerTable(Record):
    """How the panels are held together at the corners."""

    style: CornerStyle = choice_field(
        "edge",
        "screws into the side stile's edge, or a corner post screwed through its faces",
        ("edge", "post"),
    )


class FloorTable(Record):
    """What the soil stands on."""

    kind: FloorKind = choice_field(
        "cleats", "slats on cleats, slats hung from below, or none", ("cleats", "hung", "none")
    )
    rise: Length = length_field(
        "2-1/2 in", "1/2 in", "60 in", "underside of the slats above the foot"
    )
    gap: Length = length_field("1/4 in", "0 in", "2 in", "drain gap between slats")
    slat_width: AutoLength = length_field(
        "auto", "1 in", "12 in", "widest slat; auto: the stock's true width"
    )
    cleat_width: Length = length_field("1-1/2 in", "3/4 in", "6 in", "height of the cleats")
    play: Length = length_field(
        "1/16 in", "0 in", "1 in", "slats and cleats are so much short, each end; hung ones half"
    )


class LinerTable(Record):
    """The sheet that keeps wet soil off the boards."""

    fit: bool = yes_no_field(True, "line the inside")
    drop: Length = length_field(
        "1 in", "0 in", "12 in", "the liner's edge stays so far below the top"
    )


class ScrewTable(Record):
    """Which screw goes where, and how far apart."""

    wall: str = choice_field("#8 x 1 in", "staves and cleats: from inside into the frame")
    corner: str = choice_field(
        "#8 x 2 in", "corner style edge: through the stile into the stile's edge"
    )
    post: str = choice_field(
        "#8 x 2-1/4 in", "corner style post: through stile and stave into the post"
    )
    cap: str = choice_field("#8 x 1-5/8 in", "through the cap into the rails")
    floor: str = choice_field("#8 x 1-5/8 in", "hung floor: up through the slats")
    trellis: str = choice_field("same", "packers, uprights and bars of a trellis; same: as wall")
    pitch: Length = length_field(
        "6 in", "2 in", "16 in", "greatest distance along stiles and braces"
    )
    coating: Coating = choice_field(
        "rated",
        "what keeps them from rust; rated: a coating with an evaluation report for treated wood",
        ("rated", "hot-dip", "stainless", "zinc", "plain"),
    )


class TreeTable(Record):
    """The cut tree's stand that a tree box hides; only used where box.kind is tree."""

    stand_diameter: Length = length_field("16 in", "4 in", "60 in", "over the stand's legs")
    stand_height: Length = length_field("6 in", "1 in", "40 in", "top of the stand")
    trunk_diameter: Length = length_field("5 in", "1 in", "16 in", "thickest trunk the stand takes")
    air: Length = length_field("1/2 in", "0 in", "6 in", "clear space all round stand and trunk")
    spout: Length = length_field("1-1/2 in", "1/4 in", "8 in", "can spout or funnel that must pass")
    halves: bool = yes_no_field(False, "the back closes round a tree that already stands")


class TrellisTable(Record):
    """A ladder of strips behind the plants, a part of its own that drops in."""

    fit: bool = yes_no_field(False, "make one")
    height: Length = length_field("40 in", "6 in", "96 in", "above the top of the box")
    uprights: int = count_field(3, 2, 9, "how many")
    bars: int = count_field(5, 1, 30, "how many level bars above the box")
    strip_width: Length = length_field("1-1/2 in", "3/4 in", "4 in", "width of uprights and bars")
    play: Length = length_field("1/8 in", "0 in", "2 in", "clear of the cap")


class SiteTable(Record):
    """Where the box stands, what it holds, and the air and moisture that its boards meet."""

    stands_on: Ground = choice_field(
        "anywhere", "what carries it; anywhere: nobody knows yet", ("anywhere", "ground", "deck")
    )
    deck_load: Pressure = quantity_field(
        "40 psf", "5 psf", "500 psf", "pressure", "even load that the deck is designed for"
    )
    soil: Filling = choice_field(
        "usual",
        "what fills it: a mix by its weight, or pots that stand in it",
        ("light", "usual", "heavy", "pots"),
    )
    plant_height: AutoLength = length_field(
        "auto",
        "0 in",
        "20 ft",
        "crown above the box; auto: the trellis, else none; a tree box: its tree",
    )
    plant_width: AutoLength = length_field(
        "auto", "0 in", "20 ft", "width of the crown; auto: the trellis, else half its height"
    )
    wind: Speed = quantity_field(
        "40 mph", "0 mph", "150 mph", "speed", "gust in which it should stand"
    )
    pull: Force = quantity_field(
        "25 lbf", "0 lbf", "200 lbf", "force", "level pull at its highest part that it should stand"
    )
    city: CityName = choice_field(
        "own", "whose outdoor air dries and wets the boards; own: as below", ("own", *CITIES)
    )
    season: SeasonName = choice_field(
        "all", "which season of that city's air", ("all", "winter", "spring", "summer", "autumn")
    )
    driest_air: int = count_field(60, 5, 95, "own air: percent of humidity in the driest weeks")
    dampest_air: int = count_field(80, 5, 95, "own air: percent of humidity in the dampest weeks")
    temperature: Temperature = quantity_field(
        "70 F", "20 F", "120 F", "temperature", "own air: mean temperature"
    )
    rain: bool = yes_no_field(True, "rain reaches the box; false: under a roof or indoors")
    bought_at: int = count_field(19, 5, 80, "percent of moisture in the boards when they are cut")


class SawTable(Record):
    """How the shop saws: what a cut costs, and in which order it is made."""

    kerf: Length = length_field("1/8 in", "0 in", "3/8 in", "width of a saw cut")
    trim: Length = length_field("1/4 in", "0 in", "3 in", "squaring takes this off each board end")
    order: SawOrder = choice_field(
        "best",
        "blocks first, then strips; or strips of whole boards first; or whichever needs less",
        ("best", "crosscut-first", "rip-first"),
    )
    tool: Length = length_field("1/4 in", "1/32 in", "1 in", "router bit that cuts boards.dxf")
    clamp: Length = length_field("2 in", "0 in", "6 in", "router: free at board ends, for clamps")
    spare: int = count_field(0, 0, 50, "percent of boards bought on top for knots and splits")
    spare_parts: int = count_field(
        0, 0, 50, "percent of every part cut on top, at least one, for knots and splits"
    )


class SizeTable(Record):
    """Where the largest box of N boards is sought."""

    step: Length = length_field("1 in", "1/8 in", "6 in", "sizes are multiples of this")
    least_width: AutoLength = length_field("auto", "4 in", "96 in", "narrowest; auto: half the box")
    most_width: AutoLength = length_field("auto", "4 in", "96 in", "widest; auto: 1.5 of the box")
    least_depth: AutoLength = length_field("auto", "4 in", "96 in", "shallowest, where not square")
    most_depth: AutoLength = length_field("auto", "4 in", "96 in", "deepest, where not square")
    least_height: AutoLength = length_field("auto", "4 in", "72 in", "lowest; auto: half the box")
    most_height: AutoLength = length_field("auto", "4 in", "72 in", "highest; auto: 1.5 of it")
    shape: SizeShape = choice_field(
        "auto", "auto: square where the variant is", ("auto", "square", "oblong")
    )
    looks: SizeLooks = choice_field(
        "free",
        "widths that are looks may change, within what follows, or stay as drawn",
        ("free", "drawn"),
    )
    walls: SizeWalls = choice_field(
        "either", "walls divided as drawn, or either way", ("either", "drawn")
    )
    least_stile: AutoLength = length_field("auto", "1 in", "12 in", "auto: half the drawn one")
    most_stile: AutoLength = length_field("auto", "1 in", "12 in", "auto: 4/3 of the drawn one")
    least_rail: AutoLength = length_field("auto", "1 in", "12 in", "auto: half the drawn one")
    most_rail: AutoLength = length_field("auto", "1 in", "12 in", "auto: 4/3 of the drawn one")
    least_brace: AutoLength = length_field("auto", "3/4 in", "8 in", "auto: 0.55 of the stile")
    least_bar: AutoLength = length_field("auto", "3/4 in", "8 in", "auto: as drawn")
    least_cap: AutoLength = length_field("auto", "1 in", "12 in", "auto: what covers the frame")
    least_overhang: AutoLength = length_field("auto", "0 in", "4 in", "auto: 1/4 in at most")
    least_slat: AutoLength = length_field("auto", "1 in", "12 in", "auto: 1-1/2 in at least")
    least_stave: AutoLength = length_field("auto", "1 in", "12 in", "auto: 1-1/2 in at least")
    least_rail_lap: AutoLength = length_field(
        "auto", "1/4 in", "12 in", "staves over rails; auto: what their screws ask"
    )
    least_stile_lap: AutoLength = length_field(
        "auto", "1/4 in", "8 in", "staves over stiles; auto: what their screws ask"
    )
    most_foot: AutoLength = length_field(
        "auto", "0 in", "12 in", "auto: as drawn; a higher foot saves wood"
    )
    most_floor_gap: AutoLength = length_field("auto", "0 in", "2 in", "auto: 1/2 in at least")
    most_stave_gap: AutoLength = length_field("auto", "0 in", "1/2 in", "auto: as drawn")


class PlanTable(Record):
    """The printed plan: its paper, whose it is, and the sheets that labels are printed on."""

    paper: Paper = choice_field(
        "auto",
        "paper of the plan and the templates; auto: Letter for inches, A4 for metric",
        ("auto", "letter", "tabloid", "a4", "a3"),
    )
    labels: LabelSheetName = choice_field(
        "auto",
        "label sheet: paper, then columns x rows; auto: letter-3x10 or a4-3x8",
        ("auto", "letter-3x10", "letter-2x10", "letter-2x5", "a4-3x8", "a4-3x7", "a4-2x7"),
    )
    maker: str = text_field("", "who made the plan; empty: not printed")
    color: PlanColor = choice_field(
        "blue",
        "your colour on the plan's cover, headings and tabs",
        ("blue", "green", "teal", "plum", "wine", "rust", "brown", "slate"),
    )
    contact: str = text_field("", "where a buyer asks: a mail address, a page, a telephone")
    licence: str = text_field(
        "Build as many as you like, for yourself or to sell. The plan itself may not be copied, "
        "shared or sold on.",
        "what a buyer of the plan may do with it",
    )
    finish: str = text_field(
        "Exterior oil or stain on the outside, two thin coats, and more on every end grain; "
        "leave the inside bare or lined.",
        "how the box is finished",
    )


class Parameters(Record):
    """Everything that one variant file says, with its bases and defaults filled in."""

    product: ProductTable = ProductTable()
    box: BoxTable = BoxTable()
    lumber: LumberTable = LumberTable()
    panel: PanelTable = PanelTable()
    face: FaceTable = FaceTable()
    wall: WallTable = WallTable()
    cap: CapTable = CapTable()
    corner: CornerTable = CornerTable()
    floor: FloorTable = FloorTable()
    liner: LinerTable = LinerTable()
    screws: ScrewTable = ScrewTable()
    tree: TreeTable = TreeTable()
    trellis: TrellisTable = TrellisTable()
    site: SiteTable = SiteTable()
    saw: SawTable = SawTable()
    jig: JigTable = JigTable()
    size: SizeTable = SizeTable()
    plan: PlanTable = PlanTable()
    stock: Mapping[str, Stock] = Field(default_factory=dict, description="your own lumber")
    species: Mapping[str, Species] = Field(default_factory=dict, description="your own woods")

    @cached_property
    def materials(self) -> Materials:
        """What the names in ``lumber``, ``screws`` and ``stock`` stand for."""
        return Materials(self.lumber, self.screws, self.stock, self.species)

    def model_copy(self, *, update: Mapping[str, Any] | None = None, deep: bool = False) -> Self:
        """Return a copy with other tables; its materials are its own."""
        copy = super().model_copy(update=update, deep=deep)
        copy.__dict__.pop("materials", None)  # pydantic copies cached properties along
        return copy
