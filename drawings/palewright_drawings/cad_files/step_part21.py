"""STEP as text (ISO 10303-21): our own header and colours round what the kernel writes.

The kernel numbers placed uses through the whole process and writes colours in the order of memory
addresses, so both are done here, in the order of the design. Its rounding follows addresses too.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping
from itertools import count

from palewright import __version__
from palewright_drawings.cad_files.colours import Colour

SCHEMA = "AUTOMOTIVE_DESIGN { 1 0 10303 214 1 1 1 1 }"
"""AP214, the application protocol that CAD programs read most widely with colours."""

ROOT = "palewright-root"
"""Stands for the box's name until the text is escaped by our own rules."""

_EPOCH = "1970-01-01T00:00:00"
"""Part 21 demands a time stamp; a true one would make every build differ."""

_STATEMENT = re.compile(r"^#(\d+) = (\w+)\(([^;]*)\);", re.M)
_PRODUCTS = re.compile(
    r"^#(\d+) = (SHAPE_DEFINITION_REPRESENTATION|ADVANCED_BREP_SHAPE_REPRESENTATION"
    r"|MANIFOLD_SOLID_BREP|PRODUCT\w*)\(([^;]*)\);",
    re.M,
)
"""What leads from a product to its solid: one statement in a hundred."""
_USE = re.compile(r"NEXT_ASSEMBLY_USAGE_OCCURRENCE\('\d+',([^;]*);")
_NOISE = re.compile(r"(?<=[(,])-?\d+\.\d*E-(?:1[6-9]|[2-9]\d|\d{3})(?=[,)])")
"""Numbers below 1e-15: what rounding left of a zero, now so and now 0 (3.9E-31 mm was seen)."""
_REFERENCE = re.compile(r"#(\d+)")


def escaped(text: str) -> str:
    r"""Return ``text`` as the inside of a Part 21 string: ASCII, quotes and backslashes doubled.

    Other characters become ``\X2\…\X0\`` (basic plane) or ``\X4\…\X0\`` (ISO 10303-21,
    strings); control characters are dropped.
    """
    found = []
    for sign in text:
        code = ord(sign)
        if sign in "'\\":
            found.append(sign * 2)
        elif 32 <= code < 127:
            found.append(sign)
        elif code > 0xFFFF:
            found.append(f"\\X4\\{code:08X}\\X0\\")
        elif code >= 160:
            found.append(f"\\X2\\{code:04X}\\X0\\")
    return "".join(found)


def finished(
    text: str,
    name: str,
    colours: Mapping[str, Colour],
    file: str = "model.step",
    holds: str = "box, panels, boards",
) -> str:
    """Return the kernel's STEP text, made reproducible, with our header, colours and box's name.

    The header's entities stand in the order of Part 21: FILE_DESCRIPTION, FILE_NAME, FILE_SCHEMA.

    Args:
        text: what the kernel wrote, without colours, the box called ``ROOT``.
        name: of the box.
        colours: sRGB colours by the name of the product that they are for.
        file: the file's name, for its header.
        holds: what is in it, for its header.

    Raises:
        ValueError: if a product has no solid in the text: our own mistake.
    """
    data = text.split("DATA;", 1)[1].rsplit("ENDSEC;", 1)[0]
    data = _NOISE.sub("0.", _USE.sub(_numbered(), data))
    data += "".join(f"{line}\n" for line in colour_lines(data, colours))
    maker = escaped(f"palewright {__version__}")
    header = (
        f"FILE_DESCRIPTION(('{escaped(name)}: {holds}; mm'),'2;1');\n"
        f"FILE_NAME('{escaped(file)}','{_EPOCH}',(''),(''),'{maker}','{maker}','');\n"
        f"FILE_SCHEMA(('{SCHEMA}'));\n"
    )
    return (
        f"ISO-10303-21;\nHEADER;\n{header}ENDSEC;\nDATA;"
        f"{data.replace(ROOT, escaped(name))}ENDSEC;\nEND-ISO-10303-21;\n"
    )


def _numbered() -> Callable[[re.Match[str]], str]:
    """Return what numbers the placed uses from 1.

    The statement goes on one line, since the kernel's line breaks depend on the number's digits.
    """
    numbers = count(1)

    def numbered(found: re.Match[str]) -> str:
        rest = "".join(line.strip() for line in found[1].splitlines())
        return f"NEXT_ASSEMBLY_USAGE_OCCURRENCE('{next(numbers)}',{rest};"

    return numbered


def colour_lines(data: str, colours: Mapping[str, Colour]) -> Iterable[str]:
    """Yield the statements that colour each product's solid, numbered on from the last.

    A colour's style is written once; each solid is styled in the context of its own
    representation (ISO 10303-46).
    """
    solids = solids_by_product(data)
    numbers = count(1 + max(int(found[1]) for found in _STATEMENT.finditer(data)))
    styles: dict[Colour, int] = {}
    for product, colour in colours.items():
        if colour not in styles:
            lines, styles[colour] = _style(colour, numbers)
            yield from lines
        solid, context = solids[product]
        styled, shown = next(numbers), next(numbers)
        yield f"#{styled} = STYLED_ITEM('color',(#{styles[colour]}),#{solid});"
        yield (
            f"#{shown} = MECHANICAL_DESIGN_GEOMETRIC_PRESENTATION_REPRESENTATION('',"
            f"(#{styled}),#{context});"
        )


def _style(colour: Colour, numbers: Iterable[int]) -> tuple[list[str], int]:
    """Return the statements of one surface colour, and the number of their assignment."""
    numbers = iter(numbers)
    rgb, fill, area, surface, side, usage, assigned = (next(numbers) for _ in range(7))
    channels = ",".join(f"{channel:.6f}" for channel in colour)
    return [
        f"#{rgb} = COLOUR_RGB('',{channels});",
        f"#{fill} = FILL_AREA_STYLE_COLOUR('',#{rgb});",
        f"#{area} = FILL_AREA_STYLE('',(#{fill}));",
        f"#{surface} = SURFACE_STYLE_FILL_AREA(#{area});",
        f"#{side} = SURFACE_SIDE_STYLE('',(#{surface}));",
        f"#{usage} = SURFACE_STYLE_USAGE(.BOTH.,#{side});",
        f"#{assigned} = PRESENTATION_STYLE_ASSIGNMENT((#{usage}));",
    ], assigned


def solids_by_product(data: str) -> dict[str, tuple[int, int]]:
    """Return (solid, context of its representation) by product name, as statement numbers."""
    known = {
        int(found[1]): (found[2], "".join(line.strip() for line in found[3].splitlines()))
        for found in _PRODUCTS.finditer(data)
    }

    def first(number: int) -> int:
        """Return the first statement that a statement refers to."""
        found = _REFERENCE.search(known[number][1])
        if found is None:
            raise ValueError(f"statement {number} refers to nothing")
        return int(found[1])

    solids = {}
    for kind, inside in known.values():
        if kind != "SHAPE_DEFINITION_REPRESENTATION":
            continue
        shape, representation = (int(number) for number in _REFERENCE.findall(inside))
        if known.get(representation, ("",))[0] != "ADVANCED_BREP_SHAPE_REPRESENTATION":
            continue
        product = known[first(first(first(shape)))][1]
        *items, context = (int(n) for n in _REFERENCE.findall(known[representation][1]))
        breps = [item for item in items if known.get(item, ("",))[0] == "MANIFOLD_SOLID_BREP"]
        if len(breps) != 1:
            raise ValueError(f"product {product} has {len(breps)} solids")
        solids[product.split("'")[1]] = (breps[0], context)
    return solids
