"""The site over a watched folder with a quick measuring, run as a process: see test_soak."""

import sys
from pathlib import Path

ROOT = str(Path(__file__).parents[2])
if ROOT not in sys.path:
    sys.path.insert(0, ROOT)


def main() -> None:
    """Serve: FOLDER --port N --store FILE."""
    from tests.sitting import fakes  # noqa: PLC0415  the path is set first

    from eyeplane.sitting.gather import Measuring  # noqa: PLC0415
    from eyeplane.sitting.live import LiveSitting  # noqa: PLC0415
    from eyeplane.sitting.watch import Watcher  # noqa: PLC0415
    from eyeplane.web import Site  # noqa: PLC0415
    from eyeplane.web.serving import serve, take_port  # noqa: PLC0415

    folder, _, port, _, store = sys.argv[1:]
    site = Site(store_path=Path(store))
    live = LiveSitting.open(Path(folder), store_path=Path(store), learns=False)
    watcher = Watcher(
        live,
        store_path=Path(store),
        workers=1,
        measuring=Measuring(function=fakes.measure_any, version="2"),
    )
    watcher.start()
    site.add(live)
    taken = take_port(int(port), network=False)
    sys.stdout.write(f"Open http://127.0.0.1:{taken.getsockname()[1]}/\n")
    sys.stdout.flush()
    try:
        serve(site, taken)
    except KeyboardInterrupt:
        pass
    finally:
        watcher.stop()
        live.close()


if __name__ == "__main__":
    main()
