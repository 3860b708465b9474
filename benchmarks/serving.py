"""A server of its own for benchmarks and tests, who listens to its events, and frames that land."""

import http.client
import io
import json
import os
import re
import signal
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

import cv2
import numpy as np
import psutil
import simplejpeg
from PIL import Image

PIECE = 1 << 18  # bytes written at a time, as a wireless transfer brings them
MAIN = "from eyeplane.cli import main; main()"


@dataclass(frozen=True, slots=True, kw_only=True)
class Heard:
    """A frame as the stream of events told of it."""

    number: int
    at_s: float


@dataclass(slots=True)
class Server:
    """`eyeplane serve` in a process of its own, and one open page that listens."""

    folder: Path
    store: Path
    command: tuple[str, ...] = (sys.executable, "-c", MAIN, "serve")
    process: subprocess.Popen[str] | None = None
    port: int = 0
    heard: list[Heard] = field(default_factory=list)
    came: threading.Condition = field(default_factory=threading.Condition)
    _listening: threading.Thread | None = None

    def start(self) -> None:
        """Start it and wait for its address."""
        self.process = subprocess.Popen(  # noqa: S603  ourselves
            [
                *(*self.command, str(self.folder)),
                *("--port", str(self.port), "--store", str(self.store)),
            ],
            stdout=subprocess.PIPE,
            text=True,
            start_new_session=True,
        )
        assert self.process.stdout is not None
        for line in self.process.stdout:
            found = re.search(r"http://127\.0\.0\.1:(\d+)/", line)
            if found:
                self.port = int(found[1])
                return
        raise RuntimeError(f"the server ended with status {self.process.wait()}")

    def listen(self) -> None:
        """Open the stream and note every frame, from the last known one on, whatever happens."""
        self._listening = threading.Thread(target=self._hear, daemon=True)
        self._listening.start()

    def get(self, path: str) -> str:
        """Return a page."""
        line = http.client.HTTPConnection("127.0.0.1", self.port, timeout=30)
        try:
            line.request("GET", path)
            return line.getresponse().read().decode()
        finally:
            line.close()

    def names(self) -> dict[int, str]:
        """Return the name of every frame of the sitting by its number."""
        rows = json.loads(self.get(f"/sitting/{self.key()}/rows"))
        return dict(zip(rows["n"], rows["name"], strict=True))

    def key(self) -> str:
        """Return the name of the sitting in addresses, empty while there is none."""
        found = re.search(r"\bs[0-9a-f]{10}\b", self.get("/now"))
        return found[0] if found else ""

    def until(self, count: int, limit_s: float) -> bool:
        """Wait until so many frames were told of."""
        end_s = time.monotonic() + limit_s
        with self.came:
            while len(self.heard) < count and time.monotonic() < end_s:
                self.came.wait(0.2)
            return len(self.heard) >= count

    def family(self) -> list[psutil.Process]:
        """Return the server and all its processes."""
        assert self.process is not None
        me = psutil.Process(self.process.pid)
        return [me, *me.children(recursive=True)]

    def memory_mb(self) -> float:
        """Return what all of them hold that is theirs alone, where the system tells it."""
        held = 0
        for one in self.family():
            try:
                held += getattr(one.memory_full_info(), "uss", one.memory_info().rss)
            except (psutil.NoSuchProcess, psutil.AccessDenied):
                continue
        return held / 1e6

    def until_warm(self, limit_s: float = 120.0) -> None:
        """Wait until its processes have loaded all and do nothing any more."""
        end_s, before, still = time.monotonic() + limit_s, -1.0, 0
        while still < 3 and time.monotonic() < end_s:
            time.sleep(1.0)
            now = sum(self.processor_s().values())
            still = still + 1 if now - before < 0.1 and now > 4.0 else 0
            before = now

    def processor_s(self) -> dict[int, float]:
        """Return the seconds of the processor that each of its processes has had, itself first."""
        found = {}
        for one in self.family():
            try:
                times = one.cpu_times()
            except psutil.NoSuchProcess:
                continue
            found[one.pid] = times.user + times.system
        return found

    def kill(self) -> None:
        """End the server alone, without a word; its processes must leave by themselves."""
        assert self.process is not None
        family = self.family()
        self.process.kill()
        self._ended(family)

    def stop(self) -> int:
        """End it as Ctrl-C does and return its exit status."""
        assert self.process is not None
        family = self.family()
        self.process.send_signal(signal.SIGINT)
        self._ended(family)
        return self.process.returncode

    def _ended(self, family: list[psutil.Process]) -> None:
        assert self.process is not None
        self.process.wait(30)
        assert self.process.stdout is not None
        self.process.stdout.close()
        _, alive = psutil.wait_procs(family, timeout=10)
        for one in alive:
            one.kill()
        assert not alive, "processes were left behind"

    def _hear(self) -> None:
        while self.process is not None:
            try:
                self._hear_once()
            except (OSError, http.client.HTTPException, ValueError):
                time.sleep(0.1)  # as a browser comes again

    def _hear_once(self) -> None:
        key = self.key()
        last = self.heard[-1].number if self.heard else 0
        line = http.client.HTTPConnection("127.0.0.1", self.port, timeout=30)
        try:
            headers = {"Last-Event-ID": str(last)} if last else {}
            line.request("GET", f"/now/events?sitting={key}", headers=headers)
            for number in _frames(line.getresponse()):
                with self.came:
                    self.heard.append(Heard(number=number, at_s=time.monotonic()))
                    self.came.notify_all()
        finally:
            line.close()


def _frames(answer: http.client.HTTPResponse) -> Iterator[int]:
    """Yield the numbers of frame events (WHATWG HTML, section 9.2)."""
    number, name = 0, ""
    while line := answer.readline():
        text = line.decode().rstrip("\r\n")
        if text.startswith("id:"):
            number = int(text[3:])
        elif text.startswith("event:"):
            name = text[6:].strip()
        elif not text:
            if name == "frame":
                yield number
            name = ""


def frame_24_mp(source: Path, *, seed: int, noise: float = 6.0) -> bytes:
    """Return a 24 MP JPEG of a picture with sensor noise: 4:2:2, quality 92, with its EXIF."""
    picture: Image.Image = Image.open(source)
    size = (6000, 4000) if picture.width > picture.height else (4000, 6000)
    exif = picture.getexif()
    if picture.size != size:
        picture = picture.resize(size, Image.Resampling.LANCZOS)
    pixels = np.asarray(picture.convert("RGB"))
    rng = np.random.default_rng(seed)
    # Noise as of a raised ISO: finest in the luma, half as strong in the colours.
    grain = rng.integers(-100, 101, pixels.shape[:2], dtype=np.int16)
    colour = rng.integers(-50, 51, pixels.shape, dtype=np.int16)
    noisy = pixels + (noise * (grain[..., None] + colour) / 58).round().astype(np.int16)
    codes = np.ascontiguousarray(np.clip(noisy, 0, 255).astype(np.uint8))
    data: bytes = simplejpeg.encode_jpeg(
        codes, quality=92, colorspace="RGB", colorsubsampling="422"
    )
    return with_exif(data, exif, at_s=float(seed))


def with_exif(data: bytes, exif: Image.Exif, *, at_s: float) -> bytes:
    """Return a JPEG with EXIF in front, taken so many seconds after ten o'clock."""
    minutes, seconds = divmod(int(at_s), 60)
    inner = exif.get_ifd(0x8769)
    inner[0x9003] = f"2026:05:04 {10 + minutes // 60:02d}:{minutes % 60:02d}:{seconds:02d}"
    inner[0x9291] = f"{int(at_s * 1000) % 1000:03d}"
    inner.pop(0xA002, None)
    inner.pop(0xA003, None)
    exif[0x8769] = inner
    block = b"Exif\0\0" + exif.tobytes().removeprefix(b"Exif\0\0")
    stream = io.BytesIO()
    stream.write(data[:2] + b"\xff\xe1" + (len(block) + 2).to_bytes(2, "big") + block)
    after = 2
    if data[2:4] == b"\xff\xe0":
        after = 4 + int.from_bytes(data[4:6], "big")
    stream.write(data[after:])
    return stream.getvalue()


def with_remark(data: bytes, remark: str) -> bytes:
    """Return a JPEG with a comment in front: other content, the same picture."""
    body = remark.encode()
    return data[:2] + b"\xff\xfe" + (len(body) + 2).to_bytes(2, "big") + body + data[2:]


def land(data: bytes, path: Path, *, mb_per_s: float) -> float:
    """Write a file piece by piece and return when its last byte was there."""
    began_s = time.monotonic()
    with path.open("wb", buffering=0) as file:
        for at in range(0, len(data), PIECE):
            due_s = began_s + at / (mb_per_s * 1e6)
            time.sleep(max(0.0, due_s - time.monotonic()))
            file.write(data[at : at + PIECE])
    return time.monotonic()


def two_cores() -> None:
    """Keep this process and those it starts on two cores, where the system can."""
    cv2.setNumThreads(1)
    if hasattr(os, "sched_setaffinity"):
        os.sched_setaffinity(0, set(sorted(os.sched_getaffinity(0))[:2]))
