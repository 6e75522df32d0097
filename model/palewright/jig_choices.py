"""The parameters of the jigs: what they are made from, and how they guide the drill."""

from __future__ import annotations

from typing import Literal

from palewright.fields import AutoLength, Length, Record, choice_field, length_field

JigPlate = Literal["whole", "half"]


class JigChoice(Record):
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
