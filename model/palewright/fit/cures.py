"""Remedies found by trying: the smallest change of settings after which a finding is gone.

A check says what is wrong, and where it can what would mend it: that is a guess, for one change
shifts others. Here each guess, and then the settings that bear on a code, are applied and judged
again. What is kept is gone in all lumber, and nothing as bad has come in its place.

Which settings bear on a code, in which direction and in which order they are tried, is a judgement.
The work is counted in boxes laid out, never in time: the same box always gets the same remedies.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from dataclasses import replace
from itertools import zip_longest

from palewright.catalogue.lumber import LUMBER_CASES
from palewright.catalogue.screws import GAUGES
from palewright.fit.findings import SEVERITIES, Change, Finding
from palewright.fit.remedies import SOLD, other_screw
from palewright.fit.trials import Changes, Trials, applied, cases_of
from palewright.fit.verdict import Verdict
from palewright.parameters.schema import settings
from palewright.parameters.tables import Parameters, ScrewTable
from palewright.reading.lengths import INCH, print_length, to_shop

WORK = 240
"""Most boxes laid out for the remedies of one verdict; a whole verdict lays out 6."""

_MOST_KEYS = 3
"""A remedy sets at most so many keys."""

_HALVINGS = 2
"""How often the way from a change that fails to one that cures is halved."""

_LAPS = ("wall.rail_lap+", "wall.stile_lap+", "wall.rail_lap=auto", "wall.stile_lap=auto")
_WALLS = (
    *_LAPS, "wall.layout~", "panel.lip=auto", "panel.setback=auto", "panel.side_stile_width=auto",
    "panel.stile_width±", "box.width±", "box.depth±", "panel.rail_width±", "@<",
)  # fmt: skip
_ROOM = (
    *_LAPS, "@<", "@-", "panel.stile_width±", "panel.rail_width±", "face.brace_width±",
    "cap.width±", "trellis.uprights±", "trellis.strip_width+", "box.width±", "box.depth±",
    "wall.layout~", "floor.cleat_width+", "!floor.kind=cleats", "!corner.style~",
    "!lumber.board>", "!lumber.post>",
)  # fmt: skip
_STEADY = (
    "box.width+", "box.depth+", "box.height-", "trellis.height-", "!site.soil=heavy",
    "!site.plant_height-",
)  # fmt: skip
_LIGHTER = ("floor.rise+", "!site.soil=light")
_LADDER = (
    "@+", "@>", "trellis.strip_width+", "trellis.height-", "trellis.uprights+", "trellis.bars-",
    "!lumber.strip>",
)  # fmt: skip
_HOLD = (
    "@+", "@>", "screws.pitch-", "wall.layout~", *_LIGHTER, "box.depth-", "box.width-",
    "!lumber.board>",
)  # fmt: skip
_OPENING = (
    "cap.width-", "cap.overhang+", "box.width+", "box.depth+", "panel.rail_width-",
    "!cap.style=none",
)  # fmt: skip

WAYS: dict[str, tuple[str, ...]] = {
    "PW101": (
        "panel.lip=auto", "panel.setback=auto", "floor.play+", "trellis.play+", "trellis.bars-",
        "trellis.strip_width-", "trellis.uprights-", "box.width+", "box.depth+", "cap.width-",
        "!corner.style=edge",
    ),
    "PW102": ("panel.lip=auto", "panel.setback=auto"),
    "PW104": ("panel.lip=auto",),
    "PW105": ("panel.side_stile_width=auto", "panel.setback=auto"),
    "PW201": (*_WALLS, "cap.width+", "cap.overhang-", "!corner.style~", "!lumber.board>"),
    "PW202": (
        *_WALLS, "cap.width+", "cap.overhang-", "face.brace_width+", "trellis.uprights-",
        "trellis.strip_width+",
    ),
    "PW203": (
        *_WALLS, "@+", "cap.width±", "cap.overhang-", "face.brace_width±", "trellis.uprights±",
        "screws.cap+", "!corner.style~",
    ),
    "PW205": ("box.foot-", *_WALLS, "@+", "face.brace_width±"),
    "PW301": ("@+", "cap.width+", "cap.overhang-", "trellis.uprights±", *_WALLS),
    "PW302": ("@-", *_ROOM),
    "PW303": ("@-", *_ROOM),
    "PW304": _ROOM,
    "PW307": ("@-", "@<", "screws.pitch±", *_ROOM),
    "PW308": ("@-", *_ROOM),
    "PW309": _ROOM,
    "PW310": ("@+", "@<", "!lumber.board<", "!lumber.board>"),
    "PW401": (
        "panel.lip=auto", "panel.setback=auto", "floor.play+", "trellis.play+", "cap.width-",
        "cap.style=none", "tree.halves=false", "box.width+", "box.depth+", "corner.style=edge",
    ),
    "PW501": ("floor.gap+",),
    "PW502": ("floor.gap-", "liner.fit=true", "wall.stile_lap=auto"),
    "PW503": ("floor.kind=cleats",),
    "PW504": ("floor.play-", "floor.gap±", "box.width±", "box.depth±"),
    "PW505": ("box.foot+", "floor.rise+"),
    "PW601": ("box.width+", "box.depth+"),
    "PW602": ("box.height+", "box.foot+"),
    "PW603": _OPENING,
    "PW604": _OPENING,
    "PW605": ("box.width+", "box.depth+", "cap.width-", "!corner.style=edge"),
    "PW701": (
        "wall.layout~", "panel.stile_width+", "panel.rail_width+", "panel.side_stile_width=auto",
        "panel.side_rail_width=auto", "face.brace_width+", "face.bar_width+", "cap.width+",
        "floor.cleat_width+", "floor.gap±", "floor.slat_width±", "wall.stave_width±", "box.width±",
        "box.depth±", "wall.safe_rip-",
    ),
    "PW703": (
        "box.width-", "box.depth-", "box.height-", "trellis.height-", "cap.overhang-",
        "!lumber.board|",
    ),
    "PW704": (
        "panel.stile_width-", "panel.rail_width-", "cap.width-", "face.brace_width-", "box.width-",
        "box.depth-", "floor.slat_width=auto", "wall.stave_width=auto", "!floor.kind=cleats",
        "!lumber.cap=same",
    ),
    "PW902": ("box.height-", "box.width-", "box.depth-", "trellis.height-", "!lumber.board<"),
    "PW903": (*_LIGHTER, "box.height-"),
    "PW905": _STEADY,
    "PW906": _STEADY,
    "PW911": ("panel.rail_width+", "floor.cleat_width+", *_LIGHTER, "box.depth-", "box.width-",
              "box.height-", "floor.kind=cleats", "!lumber.board>"),
    "PW912": ("panel.rail_width+", "floor.cleat_width+", *_LIGHTER, "box.depth-", "box.width-",
              "box.height-", "floor.kind=cleats", "!lumber.board>"),
    "PW914": _LADDER,
    "PW922": _HOLD,
    "PW923": _HOLD,
    "PW926": ("screws.coating=hot-dip",),
    "PW927": _LADDER,
    "PW931": ("wall.gap=auto", "wall.gap+", "liner.fit=true"),
    "PW933": ("liner.fit=true",),
    "PW934": ("floor.gap+", "floor.slat_width-"),
}  # fmt: skip
"""By code, the settings that bear on it, each with its way.

``=word`` sets it, ``~`` takes each other word, ``+`` and ``-`` raise and lower a number, ``±`` does
either. Of a screw they are its length, ``<`` and ``>`` its thickness, and ``@`` is whichever
screws the finding is about. Of a stock ``<`` and ``>`` are thickness, ``|`` length. What begins
with ``!`` makes it another box: it comes after the small steps.
"""

_LATE = 4
"""What makes another box is tried after this many steps of the rest."""

_LENGTHS = 8
"""So many longer, or shorter, screws are tried."""

_MOST_OF_IT = 0.4
"""No number changes by a greater share: it would be another box."""

_STEPS: dict[str, tuple[float, tuple[int, ...]]] = {
    "inch": (INCH / 8, (1, 2, 4, 8, 16, 32, 64, 96)),
    "metric": (1.0, (2, 5, 10, 25, 50, 100, 200, 300)),
}
"""The grid (mm) on which lengths are sought, and how many of it each step of a ladder is."""


_FAR = (128, 192, 256, 384, 512, 768)
"""Further steps of the ladder, to the end of the widest range."""


def cured(
    parameters: Parameters, verdict: Verdict, progress: Callable[[str], None] | None = None
) -> Verdict:
    """Return a verdict whose faults and warnings say what cures them, as text and as data.

    Args:
        parameters: the box.
        verdict: on it, in all lumber.
        progress: told what is being tried.
    """
    todo = [f for f in verdict.findings if f.severity != "note" or f.changes]
    if not todo:
        return verdict
    trials = _Trials(parameters, verdict)
    # first what the checks ask for: it is one trial each, and may cure others too
    for way in (trials.follow, trials.seek):
        for i, finding in enumerate(todo):
            if progress:
                progress(f"remedy for {finding.code}")
            way(finding, len(todo) - i)
    told = {finding.key: _told(finding, trials.best(finding)) for finding in todo}
    return replace(verdict, findings=tuple(told.get(f.key, f) for f in verdict.findings))


def _told(finding: Finding, changes: Changes) -> Finding:
    """Return a finding with what cures it, or with that nothing which was tried does."""
    if changes or finding.severity == "note":
        return replace(finding, changes=changes)
    nothing = "none of the settings tried cures it"
    advice = f"{finding.advice}; {nothing}" if finding.advice else nothing
    return replace(finding, advice=advice, changes=())


class _Trials(Trials):
    """Changes that were judged, and those that cure."""

    def __init__(self, parameters: Parameters, verdict: Verdict) -> None:
        """Begin with nothing tried."""
        super().__init__(parameters, WORK)
        self._verdict = verdict
        self._known = {finding.code for finding in verdict.findings} | verdict.implied
        self._cures: dict[Changes, Verdict] = {}

    def follow(self, finding: Finding, sharing: int) -> None:
        """Try what the check asks for, and what is asked for after that.

        Args:
            finding: one of the verdict.
            sharing: how many findings the work that is left is for.
        """
        self.stop = self.left - self.left // sharing
        self._keep(self._followed(finding.changes, finding))

    def seek(self, finding: Finding, sharing: int) -> None:
        """Try the settings that bear on a finding's code, unless something cures it already."""
        self.stop = self.left - self.left // sharing
        if not self.best(finding):
            self._keep(self._sought(finding))

    def best(self, finding: Finding) -> Changes:
        """Return what cures a finding: few settings, and what mends most besides it."""
        bears = {key for way in WAYS.get(finding.code, ()) for key in _keys(way, finding)}
        bears |= {one.key for one in finding.changes}

        def mends(changes: Changes) -> int:
            left = {one.key for one in self._cures[changes].findings}
            return sum(f.key not in left for f in self._verdict.findings if f.severity != "note")

        mine = [
            changes
            for changes, verdict in self._cures.items()
            if bears & {one.key for one in changes} and self._cures_it(verdict, finding)
        ]
        return min(mine, key=lambda changes: (len(changes), -mends(changes)), default=())

    def _keep(self, changes: Changes) -> None:
        """Remember what cures a finding."""
        if changes:
            verdict = self.judged(changes)
            assert verdict is not None
            self._cures[changes] = verdict

    def _sought(self, finding: Finding) -> Changes:
        """Return what cures a finding among the settings that bear on its code, step by step."""
        near: list[Changes] = []
        ways = WAYS.get(finding.code, ())
        ladders = [list(steps_of(way, finding, self.parameters)) for way in ways]
        for rungs in zip_longest(*ladders):
            for way, change in enumerate(rungs):
                if change is None or self.left <= self.stop:
                    continue
                if self._works((change,), finding):
                    return self._smaller(change, ladders[way], finding)
                near.append((change,))
        for changes in near:
            if found := self._followed(changes, finding, only_gone=True):
                return found
        return ()

    def _smaller(self, change: Change, ladder: list[Change | None], finding: Finding) -> Changes:
        """Return a change that cures, or one nearer to what fails that does too."""
        found = (change,)
        before = [one for one in ladder[: ladder.index(change)] if one is not None][-1:]
        low = _length(before[0].value if before else "", change.key, self.parameters)
        high = _length(change.value, change.key, self.parameters)
        if low is None or high is None or settings()[change.key].kind != "length":
            return found
        system = self.parameters.product.units
        grid = _STEPS[system][0]
        for _ in range(_HALVINGS):
            middle = round((low + high) / 2 / grid) * grid
            if min(abs(middle - low), abs(middle - high)) < grid / 2:
                break
            nearer = (Change(change.key, print_length(middle, system)),)
            if self._works(nearer, finding):
                found, high = nearer, middle
            else:
                low = middle
        return found

    def _followed(self, changes: Changes, finding: Finding, only_gone: bool = False) -> Changes:
        """Return changes that cure, with what the findings that are left or new ask for.

        Args:
            changes: to begin with.
            finding: to be cured.
            only_gone: begin only where it is gone, and others have come.
        """
        been = set()  # two checks that ask for opposite things would send each other round for ever
        while changes and changes not in been:
            been.add(changes)
            if self._works(changes, finding):
                return changes
            verdict = self._fullest(changes, finding)
            found = verdict.findings if verdict else self.remaining(changes, finding) or ()
            left = [f for f in found if f.key == finding.key]
            if only_gone and left:
                return ()
            asked = left or (self._fresh(verdict, finding) if verdict else ())
            wanted = {one.key: one for f in asked for one in f.changes}
            merged = tuple(({one.key: one for one in changes} | wanted).values())
            if len(merged) > _MOST_KEYS:
                return ()
            changes = merged
        return ()

    def _works(self, changes: Changes, finding: Finding) -> bool:
        """Whether changes cure a finding: first where it was found, then in all lumber."""
        return self.remaining(changes, finding) == [] and all(
            self._cures_it(self.judged(changes, some), finding)
            for some in (cases_of(finding), LUMBER_CASES)
        )

    def _fullest(self, changes: Changes, finding: Finding) -> Verdict | None:
        """Return the fullest verdict that there is on changes."""
        every, some = ((changes, cases, None) for cases in (LUMBER_CASES, cases_of(finding)))
        return self.seen.get(every) or self.seen.get(some)

    def _cures_it(self, verdict: Verdict | None, finding: Finding) -> bool:
        """Whether a finding is gone, and nothing as bad has come."""
        if verdict is None or any(left.key == finding.key for left in verdict.findings):
            return False
        return not self._fresh(verdict, finding)

    def _fresh(self, verdict: Verdict, finding: Finding) -> list[Finding]:
        """Return findings of codes that were not there, as bad as one that was or worse."""
        worst = SEVERITIES.index(finding.severity)
        return [
            one
            for one in verdict.findings
            if one.code not in self._known and SEVERITIES.index(one.severity) <= worst
        ]


_WAY = re.compile(r"(!?)(@|[a-z_.]+)([-+±<>~|=])(.*)")


def _parsed(way: str) -> tuple[str, ...]:
    """Return a way's parts: whether it comes late, its key, its sign, its word."""
    found = _WAY.fullmatch(way)
    assert found, way
    return found.groups()


def _keys(way: str, finding: Finding) -> list[str]:
    """Return the keys of a way; of its screws those that the finding is about, else the walls'."""
    name = _parsed(way)[1]
    if name != "@":
        return [name]
    uses = re.split(r"[/. ]", finding.group)
    named = [f"screws.{use}" for use in uses if use in ScrewTable.model_fields]
    return list(dict.fromkeys(named)) or ["screws.wall"]


def settings_of(code: str) -> list[str]:
    """Return the keys that bear on a code, in the order in which they are tried."""
    keys = (_parsed(way)[1] for way in WAYS.get(code, ()))
    return list(dict.fromkeys("screws" if key == "@" else key for key in keys))


def steps_of(
    way: str, finding: Finding, parameters: Parameters, far: bool = False
) -> Iterator[Change | None]:
    """Yield the changes of one way, the smallest first; None where its turn is not yet.

    Args:
        way: of ``WAYS``.
        finding: whose screws are meant by ``@``.
        parameters: the box.
        far: step as far as the setting's range goes, and closer, although it is another box then.
    """
    late, _, sign, word = _parsed(way)
    yield from [None] * (_LATE if late else 0)
    for key in _keys(way, finding):
        yield from _steps(key, sign, word, parameters, far)


def _steps(key: str, sign: str, word: str, parameters: Parameters, far: bool) -> Iterator[Change]:
    """Yield the changes of one key."""
    now = setting_now(key, parameters)
    if key.startswith("screws.") and sign in "-+<>" and key != "screws.pitch":
        yield from _screws(key, sign, parameters)
    elif key.startswith("lumber.") and sign in "<>|":
        yield from _stocks(key, sign, parameters)
    elif sign in "=~":
        words = settings()[key].among if sign == "~" else (word,)
        text = str(now).lower() if isinstance(now, bool) else now
        yield from (Change(key, one) for one in words if one != ("auto" if now is None else text))
    elif isinstance(now, int | float):
        grid, counts = _STEPS[parameters.product.units]
        if settings()[key].kind == "count":
            grid, counts = 1.0, tuple(range(1, 31 if far else 5))
        elif far:
            counts = tuple(half for one in counts for half in (one, one + one // 2)) + _FAR
        for count in counts:
            for way in (1, -1) if sign == "±" else (1,) if sign == "+" else (-1,):
                value = round(now / grid + way * (count - 0.499)) * grid
                whole = settings()[key].kind == "count"
                text = str(int(value)) if whole else print_length(value, parameters.product.units)
                near = far or abs(value - now) <= max(INCH, _MOST_OF_IT * now)
                if value >= 0.0 and near:
                    yield Change(key, text)


def _screws(key: str, sign: str, parameters: Parameters) -> Iterator[Change]:
    """Yield longer or shorter screws, or thinner or thicker ones, of those that are sold."""
    kind = parameters.materials.screw[key.partition(".")[2]]  # type: ignore[index]
    system = parameters.product.units
    if sign in "<>":
        numbers = sorted(GAUGES, reverse=sign == "<")
        for number in numbers[numbers.index(kind.gauge.number) + 1 :]:
            yield from other_screw(key, number, kind.length, system)[1]
        return
    step, way = SOLD[system], 1 if sign == "+" else -1
    for count in range(1, _LENGTHS + 1):
        length = round(kind.length / step + way * (count - 0.499)) * step
        if length >= INCH / 2:
            yield from other_screw(key, kind.gauge.number, length, system)[1]


def _stocks(key: str, sign: str, parameters: Parameters) -> Iterator[Change]:
    """Yield thinner, thicker or longer stocks.

    First those that a shop of the box's units sells, of the same wood, the nearest in size.
    """
    system = parameters.product.units
    now = parameters.materials.stock[key.partition(".")[2]]  # type: ignore[index]
    kept = parameters.materials.stocks

    def more(name: str) -> float:
        if sign == "|":
            return kept[name].length - now.length
        return (kept[name].thickness - now.thickness) * (1 if sign == ">" else -1)

    def foreign(name: str) -> bool:
        return abs(kept[name].thickness - to_shop(kept[name].thickness, system)) > 1e-6

    fitting = [name for name in kept if more(name) > 0 and kept[name].width >= 0.8 * now.width]
    near = sorted(
        fitting,
        key=lambda name: (foreign(name), kept[name].species != now.species, more(name), name),
    )
    yield from (Change(key, name) for name in near[:3])


def setting_now(key: str, parameters: Parameters) -> object:
    """Return what a setting is now: mm, a word, a count; None for auto."""
    table, _, name = key.partition(".")
    return getattr(getattr(parameters, table), name, None)


def _length(text: str, key: str, parameters: Parameters) -> float | None:
    """Return a length (mm) of a key: of a text, or what it is now where there is none."""
    value = setting_now(key, applied(parameters, [Change(key, text)]) if text else parameters)
    return float(value) if isinstance(value, int | float) else None
