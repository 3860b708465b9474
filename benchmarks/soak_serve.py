"""Frames landing five a second for a long time: nothing lost, nothing twice, memory flat.

Rendered frames are copied into a watched folder, each with a remark and a time of its own, while
one page listens to the stream of events. Prints how many landed, were told of, lie in the store;
how long the slowest took; and the memory of the server with all its processes along the run.
Run: python -m benchmarks.soak_serve [frames, 2000 unless said] [a second, 5 unless said]
"""

import os
import platform
import statistics
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from benchmarks.serving import Server, land, two_cores, with_exif, with_remark
from PIL import Image

import eyeplane.cli

DEMO = Path(eyeplane.cli.__file__).parent / "demo_sitting"
DATA = Path(os.environ.get("EYEPLANE_TEST_DATA", Path(__file__).parents[2] / "shared" / "data"))
SOURCES = 12  # pictures that are copied
BURST = 5  # frames of one burst; then ten seconds pass by their clock
WIRELESS_MB_PER_S = 25.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Soaked:
    """What came of it.

    `numbers` are those of the events in the order in which they came, `names` those of all frames
    of the sitting, `waits_s` from last byte to event, `memory_mb` along the run.
    """

    landed: int
    numbers: list[int]
    names: list[str]
    waits_s: list[float]
    memory_mb: list[float]


def sources() -> list[Path]:
    """Return rendered frames, else those of the shipped sitting."""
    found = sorted((DATA / "rendered" / "single").glob("*.jpg"))[:SOURCES]
    return found or sorted(DEMO.glob("ilves-0*.jpg"))


def frames(count: int) -> Iterator[tuple[str, bytes]]:
    """Yield names and contents, each different from all others."""
    read = [(path.read_bytes(), path) for path in sources()]
    for n in range(count):
        data, path = read[n % len(read)]
        at_s = 10.0 * (n // BURST) + 0.2 * (n % BURST)
        yield (
            f"F{n:05d}.JPG",
            with_remark(with_exif(data, Image.open(path).getexif(), at_s=at_s), f"frame {n:05d}"),
        )


def soak(
    server: Server,
    data: Iterator[tuple[str, bytes]],
    *,
    a_second: float,
    rest_s: float = 600.0,
) -> Soaked:
    """Let frames land and return what came of it.

    `rest_s` is how long the last ones may take.
    """
    landed_s: dict[str, float] = {}
    memory: list[float] = []
    began_s = time.monotonic()
    for n, (name, content) in enumerate(data):
        time.sleep(max(0.0, began_s + n / a_second - time.monotonic()))
        landed_s[name] = land(content, server.folder / name, mb_per_s=WIRELESS_MB_PER_S)
        if n % 100 == 99:
            memory.append(server.memory_mb())
    server.until(len(landed_s), rest_s)
    time.sleep(1.0)  # so that what comes twice is met
    names = server.names()
    memory.append(server.memory_mb())
    waits = [one.at_s - landed_s[names[one.number]] for one in server.heard if one.number in names]
    return Soaked(
        landed=len(landed_s),
        numbers=[one.number for one in server.heard],
        names=list(names.values()),
        waits_s=waits,
        memory_mb=memory,
    )


def faults(found: Soaked) -> list[str]:
    """Return what was lost or came twice, in words; empty if nothing."""
    told, named = Counter(found.numbers), Counter(found.names)
    lost = found.landed - len(named)
    twice = [name for name, times in named.items() if times > 1]
    repeated = [number for number, times in told.items() if times > 1]
    silent = found.landed - len(told)
    said = []
    said += [f"{lost} frames lost"] if lost else []
    said += [f"{len(twice)} frames taken twice"] if twice else []
    said += [f"{len(repeated)} frames told twice"] if repeated else []
    said += [f"{silent} frames never told"] if silent else []
    said += ["told out of order"] if found.numbers != sorted(found.numbers) else []
    return said


def main() -> None:
    two_cores()
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 2000
    a_second = float(sys.argv[2]) if len(sys.argv) > 2 else 5.0
    print(
        f"{platform.platform()}, Python {platform.python_version()}, two of {os.cpu_count()} cores"
    )
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name) / "frames"
        folder.mkdir()
        server = Server(folder, Path(name) / "store.sqlite3")
        server.start()
        server.listen()
        server.until_warm()
        try:
            found = soak(server, frames(count), a_second=a_second)
        finally:
            server.stop()
    print(
        f"{found.landed} frames at {a_second:g} a second: {', '.join(faults(found)) or 'all once'}"
    )
    waits = sorted(found.waits_s)
    print(f"last byte to event: median {statistics.median(waits):.2f} s, worst {waits[-1]:.2f} s")
    early, late = statistics.median(found.memory_mb[1:4]), statistics.median(found.memory_mb[-3:])
    print(f"memory of all processes: {early:.0f} MB early, {late:.0f} MB late: {late / early:.2f}")
    print("along the run:", " ".join(f"{each:.0f}" for each in found.memory_mb), "MB")


if __name__ == "__main__":
    main()
