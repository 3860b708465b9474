"""From a frame's last byte to its answer in the page's stream of events, on two cores.

Real 24 MP JPEGs (4:2:2, quality 92, with noise: 8 to 12 MB), written piece by piece as a wireless
transfer brings them: one at a time, in bursts of five, and one at a time while older frames are
being measured. Prints median and worst, and the ratio to one full decode; of single ones the same
in seconds of the processor, which others on the machine lengthen less.
Run: python -m benchmarks.bench_serve [frames, 20 unless said]
"""

import os
import platform
import statistics
import sys
import tempfile
import time
from pathlib import Path

import simplejpeg
from benchmarks.serving import Server, frame_24_mp, land, two_cores, with_remark

import eyeplane.cli

DEMO = Path(eyeplane.cli.__file__).parent / "demo_sitting"
DATA = Path(os.environ.get("EYEPLANE_TEST_DATA", Path(__file__).parents[2] / "shared" / "data"))
WIRELESS_MB_PER_S = 25.0  # a camera on a near access point, from memory
CABLE_MB_PER_S = 60.0  # a camera on a cable, from memory
BURST = 5
BURST_S = 4.0  # between bursts
OLD = 150  # frames that lie there before: more than are measured meanwhile


def pictures() -> list[bytes]:
    """Return frames of sharp, soft and shaken eyes."""
    sources = [DEMO / "ilves-12.jpg", DEMO / "ilves-13.jpg"]
    sources += [
        p for p in (DATA / "people" / f"people-{n}.jpg" for n in ("01", "12")) if p.exists()
    ]
    return [frame_24_mp(source, seed=n) for n, source in enumerate(sources)]


def copies(made: list[bytes], count: int, remark: str) -> list[bytes]:
    """Return so many frames in turn, each of another content."""
    return [with_remark(made[n % len(made)], f"{remark} {n:05d}") for n in range(count)]


def decode_s(data: bytes) -> float:
    """Return the processor's time for one full decode, the median of nine."""
    times = []
    for _ in range(9):
        began_s = time.process_time()
        simplejpeg.decode_jpeg(data, "RGB", strict=True)
        times.append(time.process_time() - began_s)
    return statistics.median(times)


def waits(server: Server, landed_s: list[float], before: int) -> list[float]:
    """Return from last byte to event for frames that landed one after another."""
    assert server.until(before + len(landed_s), 60.0), "a frame was lost"
    told_s = [one.at_s for one in server.heard[before:]]
    return [told - landed for told, landed in zip(sorted(told_s), sorted(landed_s), strict=True)]


def singles(server: Server, data: list[bytes]) -> tuple[list[float], list[float]]:
    """Return the waits, and what they were in seconds of the processor: server and measuring."""
    found, worked = [], []
    for n, each in enumerate(data):
        before, spent = len(server.heard), server.processor_s()
        at_s = land(each, server.folder / f"a-{n:03d}.jpg", mb_per_s=WIRELESS_MB_PER_S)
        found += waits(server, [at_s], before)
        first, *others = [
            now_s - spent.get(number, 0.0) for number, now_s in server.processor_s().items()
        ]
        worked.append(first + max(others))
        time.sleep(1.0)  # what is worked out behind it is done by then
    return found, worked


def bursts(server: Server, data: list[bytes]) -> list[float]:
    found = []
    for start in range(0, len(data), BURST):
        before = len(server.heard)
        found += waits(
            server,
            [
                land(each, server.folder / f"b-{start + n:03d}.jpg", mb_per_s=CABLE_MB_PER_S)
                for n, each in enumerate(data[start : start + BURST])
            ],
            before,
        )
        time.sleep(BURST_S)
    return found


def among_old(server: Server, data: list[bytes]) -> list[float]:
    """Return the waits of frames that land while older ones are measured."""
    landed_s = {}
    for n, each in enumerate(data):
        name = f"new-{n:03d}.jpg"
        landed_s[name] = land(each, server.folder / name, mb_per_s=WIRELESS_MB_PER_S)
        time.sleep(1.5)
    time.sleep(5.0)
    names = server.names()
    told_s = {names.get(one.number, ""): one.at_s for one in server.heard}
    assert len(names) < OLD, "the older frames were measured too soon to be in the way"
    return [told_s[name] - at_s for name, at_s in landed_s.items()]


def tell(name: str, found: list[float], decode: float) -> None:
    middle = statistics.median(found)
    print(
        f"{name}: median {middle:.2f} s, worst {max(found):.2f} s of {len(found)};"
        f" {middle / decode:.1f} times one full decode"
    )


def main() -> None:
    two_cores()
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 20
    print(
        f"{platform.platform()}, Python {platform.python_version()}, two of {os.cpu_count()} cores"
    )
    made = pictures()
    decode = decode_s(made[0])
    sizes = sorted(len(each) / 1e6 for each in made)
    print(f"frames of {sizes[0]:.1f} to {sizes[-1]:.1f} MB; one full decode {decode * 1e3:.0f} ms")
    with tempfile.TemporaryDirectory() as name:
        folder, store = Path(name) / "frames", Path(name) / "store.sqlite3"
        folder.mkdir()
        server = Server(folder, store)
        server.start()
        server.listen()
        server.until_warm()
        try:
            found, worked = singles(server, copies(made, count, "single"))
            tell("one at a time", found, decode)
            tell("the same in seconds of the processor", worked, decode)
            tell("bursts of five", bursts(server, copies(made, count, "burst")), decode)
        finally:
            server.stop()
        old = Path(name) / "old"
        old.mkdir()
        for n, each in enumerate(copies(made, OLD, "old")):
            path = old / f"old-{n:04d}.jpg"
            path.write_bytes(each)
            os.utime(path, (1e9, 1e9))
        server = Server(old, store)
        server.start()
        server.listen()
        server.until(4, 120.0)  # warm, and at work on the older ones
        try:
            found = among_old(server, copies(made, count, "new"))
            tell(f"while {OLD} older ones are measured", found, decode)
        finally:
            server.stop()


if __name__ == "__main__":
    main()
