"""Figures that several papers show are drawn once: they are kept with the design."""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps
from typing import Any, Concatenate, ParamSpec, TypeVar

from palewright.design import Design

_Rest = ParamSpec("_Rest")
_Drawn = TypeVar("_Drawn")


def kept(
    draw: Callable[Concatenate[Design, _Rest], _Drawn],
) -> Callable[Concatenate[Design, _Rest], _Drawn]:
    """Return a function of a design, and of what can be looked up, that keeps what it returns.

    Nobody may change what it returns: the next who asks gets the same.
    """

    @wraps(draw)
    def known(design: Design, /, *args: _Rest.args, **kwargs: _Rest.kwargs) -> _Drawn:
        key: Any = draw, args, tuple(kwargs.items())
        if key not in design.kept:
            design.kept[key] = draw(design, *args, **kwargs)
        found: _Drawn = design.kept[key]
        return found

    return known
