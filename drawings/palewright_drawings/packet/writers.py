"""The writers of a packet: a table, one entry a kind. Importing it loads no heavy library."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Generic, TypeVar

from palewright.costing.shop_file import ShopFigures, shipped_figures
from palewright.design import Design
from palewright.parameters.variant_files import Relatives
from palewright.reading.errors import InputError, nearest
from palewright_drawings.json_reports.parameters import parameters_as_json
from palewright_drawings.output.progress import Progress

Files = Iterator[tuple[str, bytes]]
"""(path inside the packet, content) of each file, as it is made."""


@dataclass(frozen=True, slots=True)
class PacketRequest:
    """What a packet is made of.

    Attributes:
        design: the box.
        figures: gives the shop's figures, for what is the maker's alone.
        relatives: gives name and parameters of the variants that share its base.
        kinds: of files that the packet will hold.
        to_sell: whether it is for a buyer.
    """

    design: Design
    figures: ShopFigures = shipped_figures
    relatives: Relatives = tuple
    kinds: tuple[str, ...] = ()
    to_sell: bool = False

    @property
    def name(self) -> str:
        """What its folder is called."""
        return self.design.name

    @property
    def table(self) -> Mapping[str, Writer[Any]]:
        """The writers of its files."""
        return WRITERS

    def require(self) -> None:
        """Complain, before anything is made, of what cannot be laid out."""
        self.design.box  # noqa: B018

    def subject(self) -> dict[str, object]:
        """Return what the manifest says of it."""
        told = parameters_as_json(self.design.parameters)
        return {"variant": self.design.name, "parameters": told}


Asked = TypeVar("Asked")


@dataclass(frozen=True, slots=True)
class Writer(Generic[Asked]):
    """One kind of file in the packet.

    Attributes:
        kind: what ``--only`` calls it.
        where: its path in the packet, ``*`` for a board's name.
        purpose: what the file is for, in a few words.
        files: makes the files; it raises nothing for a design that could be laid out.
        private: for the maker alone: left out of what is sold or handed on.
        usual: whether every packet holds it; else it is written where it is asked for.
        ready: complains before any work if something is missing that it needs.
        repeats: where the same input gives the same bytes, if not everywhere; of what is asked.
    """

    kind: str
    where: str
    purpose: str
    files: Callable[[Asked, Progress], Files]
    private: bool = False
    usual: bool = True
    ready: Callable[[], None] = lambda: None
    repeats: Callable[[Asked], str] = lambda _: ""


def _read_first(asked: PacketRequest, progress: Progress) -> Files:
    from palewright_drawings.documents.read_first import box_read_first

    progress.begin("read first", 1)
    kinds = asked.kinds or usual_kinds()
    told = [(WRITERS[kind].where, WRITERS[kind].purpose) for kind in kinds]
    yield "READ-FIRST.html", box_read_first(asked.design, kinds, told)
    progress.advance()


def _step(asked: PacketRequest, progress: Progress) -> Files:
    from palewright_drawings.cad_files.step import step_file

    yield "model.step", step_file(asked.design, progress)


def _stl(asked: PacketRequest, progress: Progress) -> Files:
    from palewright_drawings.cad_files.stl_and_glb import box_stl

    yield "model.stl", box_stl(asked.design, progress)


def _glb(asked: PacketRequest, progress: Progress) -> Files:
    from palewright_drawings.cad_files.stl_and_glb import box_glb

    yield "model.glb", box_glb(asked.design, progress)


def _parts(asked: PacketRequest, progress: Progress) -> Files:
    from palewright_drawings.cad_files.stl_and_glb import board_stls

    for name, content in board_stls(asked.design, progress):
        yield f"parts/{name}.stl", content


def _flat(asked: PacketRequest, progress: Progress) -> Files:
    from palewright_drawings.cad_files.board_kinds import kind_files

    for path, content in kind_files([(asked.design, 1)], progress):
        yield f"flat/{path}", content


def _boards(asked: PacketRequest, progress: Progress) -> Files:
    from palewright_drawings.cad_files.nested_boards_dxf import nested_blanks, nested_files
    from palewright_drawings.documents.router_sheet import router_sheet

    progress.begin("boards.dxf", 2)
    blanks = nested_blanks(asked.design)
    progress.advance()
    yield from nested_files(asked.design, blanks)
    yield "boards.html", router_sheet(asked.design, blanks)
    progress.advance()


def _plan(asked: PacketRequest, progress: Progress) -> Files:
    from palewright_drawings.documents.plan.content import plan_pdf

    design, to_sell = asked.design, asked.to_sell
    photo = None
    if to_sell:
        from palewright_drawings.packet.pictures import cover_photo

        photo = cover_photo(design, progress)
    yield "plan.pdf", plan_pdf(design, progress, asked.relatives, to_sell, photo=photo)


def _workshop(asked: PacketRequest, progress: Progress) -> Files:
    from palewright_drawings.documents.workshop.workshop_sheets import box_workshop

    yield "workshop.html", box_workshop(asked.design, progress, asked.to_sell)


def _labels(asked: PacketRequest, progress: Progress) -> Files:
    from palewright_drawings.documents.labels import labels_pdf

    yield "labels.pdf", labels_pdf(asked.design, progress)


def _templates(asked: PacketRequest, progress: Progress) -> Files:
    from palewright_drawings.documents.template_sheets import templates_pdf

    content = templates_pdf(asked.design, progress)
    if content:
        yield "templates.pdf", content


def _elevations(asked: PacketRequest, progress: Progress) -> Files:
    from palewright_drawings.cad_files.elevation_dxf import elevation_dxfs

    for name, content in elevation_dxfs(asked.design, progress):
        yield f"elevations/{name}.dxf", content


def _jigs(asked: PacketRequest, progress: Progress) -> Files:
    from palewright_drawings.cad_files.jig_dxf import jig_files

    for path, content in jig_files(asked.design, progress):
        yield f"jigs/{path}", content


def _cutlist(asked: PacketRequest, progress: Progress) -> Files:
    from palewright_drawings.cad_files.cutlist_csv import cut_list

    progress.begin("cut list", 1)
    yield "cutlist.csv", cut_list(asked.design)
    progress.advance()


def _report(asked: PacketRequest, progress: Progress) -> Files:
    from palewright_drawings.json_reports.prices import one_box_price
    from palewright_drawings.json_reports.report import report_file

    progress.begin("report", 1)
    price = None if asked.to_sell else one_box_price(asked.design, *asked.figures())
    yield "report.json", report_file(asked.design, price)
    progress.advance()


def _costs(asked: PacketRequest, progress: Progress) -> Files:
    from palewright_drawings.documents.cost_sheet import cost_files

    for path, content in cost_files(asked.design, asked.figures, progress):
        yield f"maker/{path}", content


def _pictures(asked: PacketRequest, progress: Progress) -> Files:
    from palewright_drawings.packet.pictures import packet_pictures

    for name, content in packet_pictures(asked.design, progress):
        yield f"pictures/{name}.png", content


def _pictures_ready() -> None:
    from palewright_drawings.listing.rendered_picture import require_pictures

    require_pictures()


_PICTURED = "on processors of one kind"
"""Where path-traced pictures come out alike: their sums are taken in the order of its lanes."""

WRITERS: dict[str, Writer[PacketRequest]] = {
    writer.kind: writer
    for writer in (
        Writer("read-first", "READ-FIRST.html", "what is here, in which order", _read_first),
        Writer("step", "model.step", "the whole box for CAD: names, colours, millimetres", _step),
        Writer("stl", "model.stl", "the whole box as one surface, millimetres", _stl),
        Writer("glb", "model.glb", "the whole box for viewers and web pages, metres", _glb),
        Writer("parts", "parts/*.stl", "each kind of board alone, datum face down, mm", _parts),
        Writer("flat", "flat/*", "a DXF for each kind of board, and their counts", _flat),
        Writer("boards", "boards*", "boards nested for the router, and what to do", _boards),
        Writer("elevations", "elevations/*.dxf", "dimensioned views at full size", _elevations),
        Writer("jigs", "jigs/*", "drilling jigs: flat for the router, and as solids", _jigs),
        Writer(
            "plan",
            "plan.pdf",
            "the printed plan: boards, saw list, maps, steps",
            _plan,
            repeats=lambda asked: _PICTURED if asked.to_sell else "",
        ),
        Writer("workshop", "workshop.html", "for the phone: cuts to tick, maps, 3D", _workshop),
        Writer("labels", "labels.pdf", "a label a piece, tray by tray, with a code", _labels),
        Writer("templates", "templates.pdf", "paper templates at full size", _templates),
        Writer("cutlist", "cutlist.csv", "what to cut: a row a part", _cutlist),
        Writer("report", "report.json", "sizes, verdict, screws, loads, steps as data", _report),
        Writer("costs", "maker/*", "what it costs and sells for: not to be sold", _costs, True),
        Writer(
            "pictures",
            "pictures/*.png",
            "path-traced: in use, plain, from above",
            _pictures,
            usual=False,
            ready=_pictures_ready,
            repeats=lambda _: _PICTURED,
        ),
    )
}
"""All writers by kind, in the order in which a packet is written."""


def usual_kinds(table: Mapping[str, Writer[Any]] = WRITERS) -> list[str]:
    """Return the kinds that every packet of a table's holds."""
    return [kind for kind, writer in table.items() if writer.usual]


def require_sellable(design: Design, key: str = "--to-sell", ways: str = "") -> None:
    """Complain where faults or warnings stand: a buyer cannot ask the maker at the saw.

    Args:
        design: the box.
        key: where it was said that it is for a buyer.
        ways: what to do about it beside mending, in words.

    Raises:
        InputError: naming their codes.
    """
    standing = [one.code for one in design.verdict.findings if one.severity != "note"]
    if standing:
        told = ", ".join(dict.fromkeys(standing))
        raise InputError(f"faults or warnings stand: {told}; mend them first{ways}", key=key)


def asked_kinds(
    only: Sequence[str] = (),
    also: Sequence[str] = (),
    to_sell: bool = False,
    table: Mapping[str, Writer[Any]] = WRITERS,
) -> list[str]:
    """Return the kinds of ``--only`` (all usual ones where there is none) and of ``--with``.

    Args:
        only: kinds, in any order; none: all usual ones.
        also: more kinds.
        to_sell: leave out what is for the maker alone.
        table: of writers.

    Raises:
        InputError: for a kind that there is none of, or where nothing is left.
    """
    for key, kinds in (("--only", only), ("--with", also)):
        for kind in kinds:
            if kind not in table:
                allowed = ", ".join(table)
                raise InputError(
                    f"no kind '{kind}'{nearest(kind, table)}; allowed: {allowed}", key=key
                )
    asked = {*(only or usual_kinds(table)), *also}
    found = [kind for kind in table if kind in asked]
    if to_sell:
        found = [kind for kind in found if not table[kind].private]
        if not found:
            raise InputError("leaves nothing of --only costs to write", key="--to-sell")
    return found
