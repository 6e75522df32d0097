"""What the page needs once: variants, controls, and the names of all that can be asked for."""

from __future__ import annotations

from importlib.util import find_spec
from typing import TYPE_CHECKING, Any

from palewright import __version__
from palewright.catalogue.lumber import Stock, shipped_species, shipped_stock
from palewright.costing.materials import price_of
from palewright.fit.findings import CODES
from palewright.reading.lengths import print_length
from palewright_drawings.packet.writers import WRITERS, usual_kinds
from palewright_drawings.page.control_groups import control_groups

if TYPE_CHECKING:
    from palewright.costing.shop_file import Shop
    from palewright_drawings.page.jobs.shop_figures import Figures
    from palewright_drawings.rendering.wood.species_looks import Look


def start_data(figures: Figures) -> dict[str, Any]:
    """Return what the page is told at its start, JSON-ready.

    Its keys: ``version``, ``variants``, ``groups``, ``codes``, ``stocks``, ``species``, ``files``,
    ``pictures``, ``figures``; ``looks`` holds colours from 0 to 1.

    Args:
        figures: the shop's, whose prices of boards these are, and where they come from.
    """
    from palewright_drawings.texts.check_text import variant_rows

    shop, source = figures
    return {
        "version": __version__,
        "figures": source,
        "variants": variant_rows(),
        "groups": control_groups(),
        "codes": {code: one.title for code, one in CODES.items()},
        "stocks": _stocks(shop),
        "species": {
            name: {"meaning": one.meaning, "colour": one.color}
            for name, one in shipped_species().items()
        },
        "files": [
            {"kind": kind, "where": WRITERS[kind].where, "purpose": WRITERS[kind].purpose}
            for kind in usual_kinds()
        ],
        "pictures": _picture_choices(),
    }


def _stocks(shop: Shop) -> dict[str, Any]:
    """Return each board of the yard by name: its wood, its size in both systems, its price."""

    def size(stock: Stock, system: str) -> str:
        thick, wide, long = (
            print_length(one, system) for one in (stock.thickness, stock.width, stock.length)
        )
        return f"{thick.rpartition(' ')[0]} × {wide.rpartition(' ')[0]} × {long}"

    return {
        name: {
            "wood": stock.species.replace("-", " "),
            "inch": size(stock, "inch"),
            "metric": size(stock, "metric"),
            "price": str(price_of(name, stock, shop)),
            "currency": shop.money.currency,
        }
        for name, stock in shipped_stock().items()
    }


_NEEDED = ("mitsuba", "mitsuba_oidn", "PIL")
"""What the extra ``pictures`` brings: with a part of it no picture is made."""


def _picture_choices() -> dict[str, Any]:
    """Return what a picture may show, and whether the renderer is installed."""
    from palewright_drawings.listing.rendered_picture import SCENE_WORDS
    from palewright_drawings.rendering.tracer.cameras import VIEWS
    from palewright_drawings.rendering.wood.species_looks import FINISHES, LOOKS

    return {
        "installed": all(find_spec(name) for name in _NEEDED),
        "scenes": dict(SCENE_WORDS),
        "views": list(VIEWS),
        "finishes": {
            name: {key: getattr(one, key) for key in ("colour", "cover", "tint", "grain", "gloss")}
            for name, one in FINISHES.items()
        },
        "woods": {name: _wood(one) for name, one in LOOKS.items()},
    }


def _wood(look: Look) -> dict[str, Any]:
    """Return how a wood looks and grows, for the picture's shader; lengths in mm."""
    plain = ("early", "late", "heart", "heart_share", "knot", "bark", "drift", "fibre")
    growth = look.growth
    return {
        **{key: getattr(look, key) for key in plain},
        "ring": growth.ring,
        "late_share": growth.late,
        "knots": growth.knots,
        "knot_radius": growth.knot_radius,
    }
