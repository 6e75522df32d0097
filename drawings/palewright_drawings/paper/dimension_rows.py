"""Rows of dimensions beside a drawing: where each line and each text stands on paper.

A side is laid out in coordinates of its own: *along* the side (to the right, or upward) and *out*
from the drawing. Letters stand on their dimension line, read from below or from the right, and
lines end in oblique strokes, which stay clear where sizes are small (both after ISO 129-1, from
memory). A size too small for its letters has them past the end of its line, or on a shelf of its
row with a leader; a row grows by as many shelves as it takes. Letters never touch a line.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator

from palewright.geometry.polygons import Point, bounds
from palewright.reading.lengths import noiseless
from palewright_drawings.paper.dimension_candidates import (
    BETWEEN,
    LEVEL_COST,
    DimensionRow,
    DimensionSpan,
    TakenSpace,
    TextLayout,
    TextSpot,
    in_rows,
)
from palewright_drawings.paper.figure import Dimension, Side
from palewright_drawings.paper.marks import Mark, PathMark, TextMark
from palewright_drawings.paper.styles import Style
from palewright_drawings.paper.text_metrics import Edges, text_ink, text_width

_MOST_LEVELS = 7
"""Levels of one row that are tried: more would dwarf the drawing (judged by eye)."""

_ENOUGH = 3
"""Places tried on a shelf, from the nearest, that no letters cut off from their dimension."""

_SHELF_COST, _STUB_COST, _CUT_COST = 1.5, 1.0, 1e3
"""Beside a mm of distance: a shelf farther out, letters on a stub, letters cut off from their
dimension. Judged by eye."""

_STROKE_SHARE = 0.36
"""An oblique stroke reaches so far to each side, in lengths of an arrow."""


_TURNS: tuple[Callable[[DimensionSpan], float], ...] = (
    lambda span: -span.low,
    lambda span: span.low - span.high,
    lambda span: span.high - span.low,
)
"""Orders in which small sizes take their places: from the far end, wide ones first or last."""


class SideRows:
    """The rows of dimensions on one side of a drawing.

    Args:
        side: which.
        dimensions: those that stand there.
        box: edges of the drawing on paper, mm, y down; rows stand off it.
        scale: mm of paper for a mm of the model, whose (0, 0) lies at the paper's.
        style: how far apart all stands.
        drawn: rows of other sides, which may reach round a corner.
    """

    def __init__(
        self,
        side: Side,
        dimensions: Iterable[Dimension],
        box: Edges,
        scale: float,
        style: Style,
        drawn: Iterable[Mark] = (),
    ) -> None:
        self._side, self._box, self._style = side, box, style
        self._scale = scale
        self._up = -1.0 if side in ("below", "right") else 1.0
        """Whether letters rise outward (1) or towards the drawing (-1)."""
        self._lean = -1.0 if side in ("below", "left") else 1.0
        """Whether oblique strokes, which rise to the right on paper, go outward along the side."""
        self._level = side in ("above", "below")
        self._rows = [DimensionRow(spans) for spans in in_rows([self._span(d) for d in dimensions])]
        self._stroke = style.arrow * _STROKE_SHARE
        self._others = self._taken_by(drawn)

    def marks(self) -> Iterator[Mark]:
        """Yield what is drawn: extension lines, dimension lines, leaders, letters."""
        if not self._rows:
            return
        spots = self._settled()
        pen, gap = self._style.dimension_pen, self._style.gap
        runs = tuple(
            (self._paper(along, root + gap), self._paper(along, far))
            for along, (root, far) in sorted(self._extensions().items())
        )
        yield PathMark("extension", runs, width=pen.width, colour=pen.colour)
        for row in self._rows:
            for span in row.spans:
                yield from self._line_marks(span, row.line)
        for span, spot in spots:
            if spot.runs:
                told = tuple((self._paper(*a), self._paper(*b)) for a, b in spot.runs)
                yield PathMark("leader", told, width=pen.width, colour=pen.colour)
            yield TextMark(
                span.dimension.text,
                self._paper(*spot.start),
                self._style.text,
                angle=0.0 if self._level else 90.0,
                colour=self._style.ink,
                what=span.dimension.what,
            )

    def _line_marks(self, span: DimensionSpan, line: float) -> Iterator[Mark]:
        """Yield a dimension line and the oblique strokes at its ends."""
        pen, half = self._style.dimension_pen, self._stroke
        ends = (self._paper(span.low, line), self._paper(span.high, line))
        what = span.dimension.what
        yield PathMark("dimension", (ends,), width=pen.width, colour=pen.colour, what=what)
        strokes = tuple(((x - half, y + half), (x + half, y - half)) for x, y in ends)
        yield PathMark("dimension", strokes, width=2 * pen.width, colour=pen.colour)

    def _paper(self, along: float, out: float) -> Point:
        """Return side coordinates on paper."""
        x0, y0, x1, y1 = self._box
        if self._level:
            return along, y0 - out if self._side == "above" else y1 + out
        return (x0 - out if self._side == "left" else x1 + out), -along

    def _aside(self, point: Point) -> Point:
        """Return a point of paper in side coordinates."""
        (x, y), (x0, y0, x1, y1) = point, self._box
        out = {"above": y0 - y, "below": y - y1, "left": x0 - x, "right": x - x1}[self._side]
        return (x if self._level else -y), out

    def _span(self, dimension: Dimension) -> DimensionSpan:
        """Return a dimension in side coordinates."""
        ends: list[Point] = []
        for point in (dimension.start, dimension.end):
            ends.append(self._aside((point[0] * self._scale, -point[1] * self._scale)))
        first, last = sorted(ends)
        return DimensionSpan(dimension, first[0], last[0], (first, last))

    def _extensions(self) -> dict[float, tuple[float, float]]:
        """Return along → (from, to) out of each extension line; those at one place are one."""
        found: dict[float, tuple[float, float]] = {}
        for row in self._rows:
            top = row.line + self._style.overshoot
            for span in row.spans:
                for along, out in span.roots:
                    at = noiseless(along, 3)
                    root, far = found.get(at, (out, top))
                    found[at] = (max(root, out), max(far, top))
        return found

    def _settled(self) -> list[tuple[DimensionSpan, TextSpot]]:
        """Return where each text goes, with as many levels in each row as place them best."""
        best = self._ordered()
        for row in self._rows:
            kept = row.levels
            for levels in range(2, _MOST_LEVELS + 1):
                if best.cost_in(row) <= levels * LEVEL_COST:
                    break
                row.levels = levels
                tried = self._ordered()
                if tried.cost < best.cost:
                    best, kept = tried, levels
            row.levels = kept
        if best.left_out:
            text = best.left_out[0].dimension.text
            raise ValueError(f"no room for '{text}' {self._side} the drawing")
        self._set_lines()
        return best.spots

    def _shelf(self) -> float:
        """Return the height of one level of letters."""
        return self._style.text + self._style.text_gap + 2 * self._style.clear

    def _set_lines(self) -> None:
        """Work out how far out each row's line is."""
        out = self._style.first_row
        for row in self._rows:
            more = (row.levels - 1) * self._shelf()
            row.line = out + (more if self._up < 0 else 0.0)
            out += self._style.row + more

    def _ordered(self) -> TextLayout:
        """Return where texts go; where some are cut off, small sizes take turns in other orders."""
        best = self._tried(lambda span: span.low)
        for turn in _TURNS:
            if best.cost < _CUT_COST:
                break
            best = min(best, self._tried(turn), key=lambda layout: layout.cost)
        return best

    def _tried(self, turn: Callable[[DimensionSpan], float]) -> TextLayout:
        """Return where texts go with the levels that there are, small sizes in order of a turn."""
        self._set_lines()
        taken, found = self._lines_taken(), TextLayout()
        small: list[tuple[DimensionRow, DimensionSpan]] = []
        for row in self._rows:
            found.levels += row.levels
            for span in sorted(row.spans, key=lambda s: s.low):
                spot = self._on_line(span, row, taken)
                if spot is None:
                    small.append((row, span))
                else:
                    taken.letters.append(spot.box)
                    found.spots.append((span, spot))
        for row, span in sorted(small, key=lambda pair: (pair[0].line, turn(pair[1]))):
            spot = min(self._beside(span, row, taken), key=lambda s: s.cost, default=None)
            if spot is None:
                found.left_out.append(span)
                continue
            taken.letters.append(spot.box)
            taken.leaders += spot.runs
            found.spots.append((span, spot))
        return found

    def _taken_by(self, drawn: Iterable[Mark]) -> TakenSpace:
        """Return what marks of other sides take."""
        taken = TakenSpace()
        for mark in drawn:
            if isinstance(mark, TextMark):
                corners = [self._aside(corner) for corner in mark.box]
                taken.letters.append(bounds(tuple(corners)))
            else:
                taken.leaders += [(self._aside(a), self._aside(b)) for a, b in mark.segments()]
        return taken

    def _lines_taken(self) -> TakenSpace:
        """Return all dimension and extension lines, as thin boxes."""
        taken, half = self._others.copy(), self._style.dimension_pen.width / 2
        stroke = self._stroke + half
        for along, (root, far) in self._extensions().items():
            taken.bars.append((along - half, root, along + half, far))
        for row in self._rows:
            for span in row.spans:
                taken.bars.append((span.low, row.line - half, span.high, row.line + half))
                for end in (span.low, span.high):
                    for way in (1.0, -1.0):
                        # an oblique stroke fills two of the four quarters about its middle
                        tip = (end + way * stroke, row.line + way * stroke * self._lean)
                        taken.bars.append(bounds(((end, row.line), tip)))
        return taken

    def _spot(self, text: str, low: float, base: float) -> TextSpot:
        """Return letters that begin at (low, base)."""
        x0, y0, x1, y1 = text_ink(text, self._style.text)
        outs = sorted((base + self._up * y0, base + self._up * y1))
        return TextSpot((low + x0, outs[0], low + x1, outs[1]), (low, base))

    def _on_line(
        self, span: DimensionSpan, row: DimensionRow, taken: TakenSpace
    ) -> TextSpot | None:
        """Return letters on their own dimension line, as near to its middle as they are free."""
        text = span.dimension.text
        wide = text_width(text, self._style.text)
        base = row.line + self._up * self._style.text_gap
        room = span.high - span.low - wide
        if room <= 0:
            return None
        for low in self._lows(span.middle - wide / 2, wide, taken, row):
            if span.low <= low and low + wide <= span.high:
                spot = self._spot(text, low, base)
                if taken.free(spot.box, self._style.clear):
                    return spot
        return None

    def _lows(
        self, wanted: float, wide: float, taken: TakenSpace, row: DimensionRow
    ) -> list[float]:
        """Return where letters may begin, the nearest to what is wanted first."""
        clear = self._style.clear + 0.05
        reach = row.levels * self._shelf() + self._style.row
        lows = {wanted}
        for boxes, off in ((taken.bars, clear), (taken.letters, clear + BETWEEN)):
            for box in boxes:
                if box[1] < row.line + reach and row.line - reach < box[3]:
                    lows |= {box[2] + off, box[0] - off - wide}
        return sorted(lows, key=lambda low: (abs(low - wanted), low))

    def _beside(
        self, span: DimensionSpan, row: DimensionRow, taken: TakenSpace
    ) -> Iterator[TextSpot]:
        """Yield letters past the end of their line, or on a shelf with a leader."""
        text, style = span.dimension.text, self._style
        wide = text_width(text, style.text)
        yield from self._stubs(span, row, taken, wide)
        for level in range(1, row.levels):
            shelf = row.line + self._up * level * self._shelf()
            found = 0
            for low in self._lows(span.middle - wide / 2, wide, taken, row):
                spot = self._spot(text, low, shelf + self._up * style.text_gap)
                if not taken.free(spot.box, style.clear):
                    continue
                high = low + wide
                knee = (min(max(span.middle, low), high), shelf)
                leader = ((span.middle, row.line), knee)
                cut = taken.cut_by(leader, style.clear)
                cost = abs(low + wide / 2 - span.middle) + level * _SHELF_COST + cut * _CUT_COST
                yield TextSpot(spot.box, spot.start, (leader, ((low, shelf), (high, shelf))), cost)
                found += not cut
                if found == _ENOUGH:
                    break

    def _stubs(
        self, span: DimensionSpan, row: DimensionRow, taken: TakenSpace, wide: float
    ) -> Iterator[TextSpot]:
        """Yield letters on the dimension line drawn out past either end, where no other is."""
        style, off = self._style, self._stroke + self._style.clear + 0.2
        for low, far in ((span.high + off, 1.0), (span.low - off - wide, -1.0)):
            ends = (span.high, low + wide) if far > 0 else (low, span.low)
            if any(s.low < ends[1] - 1e-6 and ends[0] + 1e-6 < s.high for s in row.spans):
                continue
            spot = self._spot(span.dimension.text, low, row.line + self._up * style.text_gap)
            run = ((ends[0], row.line), (ends[1], row.line))
            if taken.free(spot.box, style.clear) and not taken.cut_by(run, style.clear):
                cost = abs(low + wide / 2 - span.middle) * 0.5 + _STUB_COST
                yield TextSpot(spot.box, spot.start, (run,), cost)
