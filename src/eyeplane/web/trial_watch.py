"""A trial followed while its frames land: how far it is, and what they say by now."""

import threading
import traceback
from dataclasses import dataclass
from datetime import UTC, datetime

from starlette.requests import Request

from eyeplane.asked.trial_typed import ladder_of_trial
from eyeplane.asked.trials import Going, SoFar, so_far
from eyeplane.records.live import LiveFrame
from eyeplane.records.trial import TrialState
from eyeplane.sitting.live import LiveSitting
from eyeplane.sitting.trial_state import MOST_FRAMES, trial_state
from eyeplane.web.words import words

BEGAN_AT = datetime.now(tz=UTC)  # when this process did
FEWEST_TOLD = 10  # frames that count from which an answer is shown: fewer say hardly anything


@dataclass(frozen=True, slots=True, kw_only=True)
class Seen:
    """How a trial stands.

    Attributes
    ----------
    state : TrialState
        Counted from its frames.
    told : SoFar or None
        What they say by now; None: too few, or not worked out yet.
    soon : bool
        Whether that is being worked out.
    mark : str
        Changes when one of the two does.
    """

    state: TrialState
    told: SoFar | None
    soon: bool
    mark: str


class TrialWatch:
    """Follows the one trial of a site; every method from any thread."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._trial = 0
        self._frames: dict[int, LiveFrame] = {}
        self._told: SoFar | None = None
        self._working = False

    def look(self, going: Going, live: LiveSitting) -> Seen:
        """Return how a trial stands.

        Parameters
        ----------
        going : Going
            The trial.
        live : LiveSitting
            Its sitting.

        Returns
        -------
        Seen
            Quick: only frames that landed since are looked at; what they say together is worked
            out beside.
        """
        trial = going.trial
        with self._lock:
            if self._trial != going.kept.number:
                self._trial, self._frames, self._told = going.kept.number, {}, None
            frames = self._taken(going, live)
            told = self._told
        asked = ladder_of_trial(trial) if trial.subject == "sitter" else None
        state = trial_state(trial, frames, asked)
        soon = self._work_out(going, frames, state)
        mark = (
            f"{going.kept.number}-{len(trial.steps)}-{sum(one.step.frames for one in state.counts)}"
            f"-{len(frames)}-{frames[-1].number if frames else 0}-{told.frames if told else 0}"
        )
        return Seen(state=state, told=told, soon=soon, mark=mark)

    def _taken(self, going: Going, live: LiveSitting) -> list[LiveFrame]:
        """Return the frames since a trial began; those that could not be read are asked anew."""
        after = going.trial.after
        # Frames that lay there before get later numbers while they are measured beside. Only those
        # that lie there when the site is started anew may have been shot meanwhile.
        lay_there = going.kept.started_at < BEGAN_AT
        rows = live.rows_after(after, live.state().given)
        own = [row.number for row in rows if lay_there or row.landed_at is not None]
        own = own[: MOST_FRAMES + 1]
        for number in own:
            known = self._frames.get(number)
            if known is None or known.frame.reading.status == "unreadable":
                found = live.frame(number)
                if found is not None:
                    self._frames[number] = found
        return [self._frames[n] for n in own if n in self._frames]

    def _work_out(self, going: Going, frames: list[LiveFrame], state: TrialState) -> bool:
        """Start to work out what frames say, where that tells anything; return if that goes on."""
        counts = [one.counted for one in state.counts]
        if (
            going.trial.subject != "sitter"
            or sum(counts) < FEWEST_TOLD
            or sum(map(bool, counts)) < 2
        ):
            return False
        own = [one.frame for one in frames if one.number in set(state.frames)]
        with self._lock:
            if self._told is not None and self._told.frames == len(own):
                return False
            if self._working:
                return True
            self._working = True

        def work() -> None:
            try:
                told = so_far(going.trial, own)
            except Exception:  # noqa: BLE001  a fault of ours is told, and not asked again
                traceback.print_exc()  # what it was stands in the terminal
                told = SoFar(frames=len(own), sentence=words("site.trouble.failed"))
            with self._lock:
                self._working = False
                if self._trial == going.kept.number:
                    self._told = told

        threading.Thread(target=work, daemon=True).start()
        return True


_MAKING = threading.Lock()


def watch_of(request: Request) -> TrialWatch:
    """Return what follows the trial of the site that a request came to.

    Parameters
    ----------
    request : Request
        The request.

    Returns
    -------
    TrialWatch
        One for each site.
    """
    state = request.app.state
    with _MAKING:
        if not hasattr(state, "trial_watch"):
            state.trial_watch = TrialWatch()
    found: TrialWatch = state.trial_watch
    return found
