"""The box that a command is asked for: read, laid out, and blamed on what broke it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from palewright.reading.errors import InputError
from palewright_drawings.cli.options import say

if TYPE_CHECKING:
    from palewright.design import Design
    from palewright.fit.mending import Mending
    from palewright.parameters.variant_files import Variant


def read_variant(name: str, settings: Sequence[str] = ()) -> Variant:
    """Return the variant of a name or path with settings laid over it; say which file of yours.

    Raises:
        InputError: for anything that cannot be used, with file, line, key and what is allowed.
    """
    from palewright.parameters.variant_files import load_variant, shipped_variants

    found = load_variant(name, settings)
    if found.path == Path(f"{name}.toml"):
        hidden = ", not the shipped one of this name" if name in shipped_variants() else ""
        say(f"{name}: your file {found.path}{hidden}")
    return found


def laid_out(variant: Variant, note: Callable[[str], None] = lambda _: None) -> Design:
    """Return the design, its boards laid out.

    Args:
        variant: as it was read.
        note: told which lumber is being checked.

    Raises:
        InputError: for what cannot be built, at the setting that broke it.
    """
    from palewright.design import design

    box = design(variant.parameters, variant.name, lambda case: note(f"checking {case} lumber"))
    try:
        _ = box.box
    except InputError as error:
        raise blamed(variant, error) from None
    return box


def blamed(variant: Variant, error: InputError) -> InputError:
    """Return a complaint at the setting that broke it.

    A key that the maker neither typed nor wrote is not at fault: it is the own setting without
    which the box can be laid out.
    """
    from palewright.construction.box_layout import lay_out
    from palewright.fit.findings import Change
    from palewright.fit.trials import applied
    from palewright.parameters.variant_edits import own_keys, taken_back

    if error.key in own_keys(variant):
        return variant.located(error)
    for key, before in taken_back(variant):
        try:
            lay_out(applied(variant.parameters, [Change(key, before)]))
        except InputError:
            continue
        told = f"then {error.key}: {error.message}" if error.key else error.message
        return variant.located(InputError(told, key=key))
    return variant.located(error)


def mending_of(
    variant: Variant, box: Design, note: Callable[[str], None] = lambda _: None
) -> Mending | None:
    """Return the one list of changes that cures a box; None where nothing does, or is wrong."""
    from palewright.fit.findings import Change
    from palewright.fit.mending import mended
    from palewright.parameters.variant_edits import taken_back

    back = [Change(*one) for one in taken_back(variant)]
    return mended(box.parameters, box.verdict, back, note)


def write_mended(variant: Variant, mending: Mending) -> Path:
    """Write changes into a maker's own file; return where the file as it was is kept.

    Raises:
        InputError: for a shipped variant, or a file that cannot be changed.
    """
    import itertools

    from palewright.parameters.variant_edits import with_changes
    from palewright_drawings.cli.options import write_whole

    path = variant.path
    before = path.read_text(encoding="utf-8")
    pairs = [(one.key, one.value) for one in mending.changes]
    changed = with_changes(before, pairs, str(path))
    names = (path.with_name(f"{path.name}.before{n or ''}") for n in itertools.count())
    kept = next(one for one in names if not one.exists())
    write_whole(kept, before.encode(), tell=False)
    write_whole(path, changed.encode(), tell=False)
    return kept
