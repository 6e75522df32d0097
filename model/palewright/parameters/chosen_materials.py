"""The lumber, woods and screws that the names in a variant's tables stand for."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import cached_property
from typing import Literal, TypeVar

from palewright.catalogue.lumber import Species, Stock, shipped_species, shipped_stock
from palewright.catalogue.screws import ScrewKind, read_screw
from palewright.reading.errors import InputError
from palewright.reading.fields import Record

StockRole = Literal["board", "cap", "post", "strip"]
STOCK_ROLES: tuple[StockRole, ...] = ("board", "cap", "post", "strip")
ScrewUse = Literal["wall", "corner", "post", "cap", "floor", "trellis"]

_Sought = TypeVar("_Sought")
_Found = TypeVar("_Found")


class _Lookup(dict[_Sought, _Found]):
    """Finds each value once, when it is first read: what a box does not use is never refused."""

    def __init__(self, find: Callable[[_Sought], _Found]) -> None:
        """Begin empty; ``find`` raises `InputError` for what nobody keeps."""
        super().__init__()
        self._find = find

    def __missing__(self, key: _Sought) -> _Found:
        self[key] = found = self._find(key)
        return found


class Materials:
    """What a box is made from. Reading a name that nobody keeps raises `InputError`.

    Attributes:
        stocks, woods: all that are kept, by name, the maker's own before the shipped.
        stock: by the kind of board that is cut from it.
        screw: by its use.
        species: the wood of a stock.
    """

    def __init__(
        self,
        lumber: Record,
        screws: Record,
        own_stocks: Mapping[str, Stock],
        own_woods: Mapping[str, Species],
    ) -> None:
        """Take the tables that choose, and what the maker keeps besides the shipped."""
        self.stocks = {**shipped_stock(), **own_stocks}
        self.woods = {**shipped_species(), **own_woods}
        self._lumber, self._screws = lumber, screws
        self.stock: Mapping[StockRole, Stock] = _Lookup(self._stock)
        self.screw: Mapping[ScrewUse, ScrewKind] = _Lookup(self._screw)
        self.species: Mapping[Stock, Species] = _Lookup(self._species)

    def name_of(self, stock: Stock) -> str:
        """Return the name under which a stock is kept, a chosen one first; empty if it is not."""
        return self._names.get(stock, "")

    @cached_property
    def _names(self) -> Mapping[Stock, str]:
        """The name of each stock that is kept."""
        chosen = [getattr(self._lumber, role) for role in STOCK_ROLES]
        names = [*sorted(self.stocks, reverse=True), *reversed(chosen)]  # the last one stays
        return {self.stocks[name]: name for name in names if name in self.stocks}

    def _stock(self, role: StockRole) -> Stock:
        name, key = _said(self._lumber, role, "board")
        return _kept("stock", name, self.stocks, f"lumber.{key}")

    def _screw(self, use: ScrewUse) -> ScrewKind:
        text, key = _said(self._screws, use, "wall")
        try:
            return read_screw(text)
        except InputError as error:
            raise error.at(key=f"screws.{key}") from None

    def _species(self, stock: Stock) -> Species:
        return _kept("species", stock.species, self.woods, "stock.species")


def _said(table: Record, key: str, other: str) -> tuple[str, str]:
    """Return what a table says at a key, and at which: ``same`` means as at the ``other``."""
    text = getattr(table, key)
    return (getattr(table, other), other) if text == "same" else (text, key)


def _kept(kind: str, name: str, kept: Mapping[str, _Found], key: str) -> _Found:
    """Return what is kept under a name, or complain at a key."""
    if name not in kept:
        raise InputError(f"no {kind} '{name}'; allowed: {', '.join(sorted(kept))}", key=key)
    return kept[name]
