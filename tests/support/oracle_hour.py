"""Let model and oracle judge random variants for some time, and write down where they disagree.

    python tests/support/oracle_hour.py --minutes 60 --first 0 >> found.jsonl

One JSON line a variant (``--all``), or only those on which they disagree or that crash. It needs
the sources on the path: PYTHONPATH=model:drawings:tests.
"""

from __future__ import annotations

import argparse
import json
import sys
import time
import traceback
from collections import Counter
from pathlib import Path

sys.path[:0] = [
    str(Path(__file__).resolve().parents[2] / n) for n in ("model", "drawings", "tests/support")
]

from oracle_variants import compared, drawn  # noqa: E402
from palewright.catalogue.lumber import LUMBER_CASES  # noqa: E402


def main() -> None:
    """Read what is asked and run."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--minutes", type=float, default=60.0, help="stop after so long")
    asked.add_argument("--first", type=int, default=0, help="number of the first variant")
    asked.add_argument("--step", type=int, default=1, help="take every so many, to run in parallel")
    asked.add_argument("--count", type=int, default=1_000_000, help="at most so many")
    asked.add_argument("--cases", default=",".join(LUMBER_CASES), help="lumber cases, by commas")
    asked.add_argument("--light", action="store_true", help="no STEP files: a tenth of the work")
    asked.add_argument("--all", action="store_true", help="write those that agree, too")
    said = asked.parse_args()
    cases = [case for case in LUMBER_CASES if case in said.cases.split(",")]
    end, states = time.monotonic() + 60 * said.minutes, Counter[str]()
    number = said.first
    for number in range(said.first, said.first + said.count * said.step, said.step):
        if time.monotonic() > end:
            break
        try:
            one = compared(drawn(number), cases, said.light)
            line, states[one.state] = one.as_json(), states[one.state] + 1
            states["wrong"] += one.wrong
        except Exception:
            states["crash"] += 1
            line = {"number": number, "state": "crash", "wrong": True,
                    "told": traceback.format_exc().splitlines()[-3:],
                    "command": drawn(number).command}  # fmt: skip
        if line["wrong"] or said.all:
            print(json.dumps(line, ensure_ascii=False), flush=True)
    print(f"numbers {said.first} to {number}: {dict(states)}", file=sys.stderr)


if __name__ == "__main__":
    main()
