"""Run as a program: one strip solved by `spyrrow`; question on standard input, answer on standard output.

A process of its own, because the library stops by the clock only, and what goes wrong in it may end the
process. The answer is a proposal: single precision, so gaps come out a little long or short.
"""

from __future__ import annotations

import json
import sys

_COMPRESSION = 20  # a twentieth of the time, in whole seconds


def main() -> int:
    """Read a question, write the answer; 1 where the library is missing or gave up."""
    try:
        import spyrrow  # noqa: PLC0415
    except ImportError:
        return 1
    question = json.load(sys.stdin)
    # Its last phase, shifting pieces together, gets little time: the caller does that exactly and at once.
    compression = max(1, question["seconds"] // _COMPRESSION)
    try:
        items = [
            spyrrow.Item(
                str(number),
                [(x, y) for x, y in item["points"]],
                item["count"],
                item["turns_deg"],
            )
            for number, item in enumerate(question["items"])
        ]
        solution = spyrrow.StripPackingInstance("strip", question["width"], items).solve(
            spyrrow.StripPackingConfig(
                early_termination=False,
                min_items_separation=question["gap"] or None,
                total_computation_time=None,
                exploration_time=question["seconds"] - compression,
                compression_time=compression,
                num_workers=question["workers"],
                seed=question["seed"],
            )
        )
    # Its panics don't derive from Exception.
    except BaseException as error:
        print(f"{type(error).__name__}: {error}", file=sys.stderr)
        return 1
    placed = [(int(item.id), item.rotation, *item.translation) for item in solution.placed_items]
    json.dump({"length": solution.width, "placed": placed}, sys.stdout)
    return 0


if __name__ == "__main__":
    sys.exit(main())
