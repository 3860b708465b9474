"""How often one kit against another says more than the frames tell: sittings made up alike.

`python -m benchmarks.accuracy.against [PAIRS]`: pairs of sittings of one photographer with one kit,
in few and in many bursts; how many of the 90 % intervals of the difference hold nought, and how
many prints are said to show a difference that is none.
"""

import sys

import numpy as np
from tests.sitting.simulated import CLEAN, simulate
from tests.sitting.test_against import sitting_of

from eyeplane.records.kit_against import AgainstWay
from eyeplane.sitting.against import FramesAsked, compare_frames
from eyeplane.sitting.against_frames import kit_frames

SOLD_CM = ((30.0, 20.0), (60.0, 40.0), (90.0, 60.0))


def one_pair(number: int, *, bursts: int, per_burst: int) -> AgainstWay:
    """Return the middle frames of two sittings shot alike."""
    kits = []
    for letter, seed in (("A", 2 * number), ("B", 2 * number + 1)):
        made, _ = simulate(np.random.default_rng(seed), CLEAN, bursts=bursts, per_burst=per_burst)
        kits.append(kit_frames(sitting_of(made), letter, letter))
    asked = FramesAsked(sold_cm=SOLD_CM)
    return compare_frames(kits[0], kits[1], asked, np.random.default_rng(number)).ways[0]


def main(pairs: int) -> None:
    """Print the shares."""
    for bursts, per_burst in ((6, 1), (6, 2), (15, 3)):
        ways = [one_pair(k, bursts=bursts, per_burst=per_burst) for k in range(pairs)]
        held = np.mean([way.sharper == "neither" for way in ways])
        shown = np.mean([[one.seen == "yes" for one in way.sold] for way in ways], axis=0)
        width = np.median([w.difference_cm.high - w.difference_cm.low for w in ways])
        print(
            f"{bursts} bursts of {per_burst}: intervals that hold nought {held:.2f}, "
            f"width {width:.0f} cm; prints said to show it {shown.round(3).tolist()}"
        )


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 60)
