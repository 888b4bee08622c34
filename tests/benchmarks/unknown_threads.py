"""How often an unknown thread is named rightly, over many seeds.

    PYTHONPATH=. .venv/bin/python tests/benchmarks/unknown_threads.py [SEEDS]

Each line is one way of measuring: the pitch by a count over half an inch or by a leaf, with and
without a second diameter and an angle. The shares are of all parts; those "said over 0.9" are also
compared with how many of them were right.
"""

import sys

from tests.engineering.threads.unknown_threads import score_parts


def main(seeds: int) -> None:
    """Measure everything in turn."""
    for pitch in ("count", "leaf"):
        for taper, angle in ((True, True), (False, True), (True, False)):
            score = score_parts(range(seeds), pitch=pitch, taper=taper, angle=angle)
            print(
                f"{pitch:5} {'taper' if taper else '     '} {'angle' if angle else '     '}"
                f"  first {score.first:.4f}  in three {score.in_three:.4f}"
                f"  advice followed {score.followed:.4f}"
                f"  clear {score.clear:.3f}, wrong {score.clear_wrong:.4f}"
                f"  over 0.9 wrong {score.over_nine_in_ten_wrong:.4f}"
                f" (said {score.said_over_nine_in_ten:.4f},"
                f" right {score.right_over_nine_in_ten:.4f})",
                flush=True,
            )


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 20)
