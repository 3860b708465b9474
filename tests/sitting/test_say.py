import pytest
from scipy import stats

from eyeplane.diagnose.words import mm, shutter
from eyeplane.records import Measured
from eyeplane.sitting import say


def plain(text: str) -> str:
    return text.replace("\u2009", " ")


def test_singular_and_plural() -> None:
    assert [say.frames(n) for n in (0, 1, 2)] == ["0 frames", "1 frame", "2 frames"]
    assert say.of_frames(1, 7) == "1 of 7 frames"
    assert (say.verb(1, "hold"), say.verb(2, "hold")) == ("holds", "hold")


def test_the_unit_is_said_once() -> None:
    assert plain(say.between(Measured(value=9, low=6, high=12), mm)) == "6 to 12 mm"
    assert plain(say.span(1 / 500, 1 / 200, shutter)) == "1/500 to 1/200 s"
    assert plain(say.span(6.0, 6.1, mm)) == "6 mm"
    assert plain(say.span(900.0, 1200.0, mm)) == "900 mm to 1.2 m"
    assert plain(say.percent(0.12, 0.38)) == "12 to 38 %"
    assert plain(say.percent(0.121, 0.119)) == "12 %"


@pytest.mark.parametrize(("part", "count"), [(3, 10), (1, 29), (81, 263), (0, 20), (10, 10)])
def test_a_share_has_jeffreys_interval(part: int, count: int) -> None:
    # The beta distribution of scipy, a reference library; Brown, Cai and DasGupta (2001) set the
    # ends for none and for all to 0 and 1.
    low, high = say.share_between(part, count)
    beta = stats.beta(part + 0.5, count - part + 0.5)
    assert low == pytest.approx(beta.ppf(0.05) if part else 0.0)
    assert high == pytest.approx(beta.ppf(0.95) if part < count else 1.0)


def test_jeffreys_covers_nine_in_ten_on_average() -> None:
    covered = []
    for share in (0.1, 0.2, 0.35, 0.5):
        chances = stats.binom.pmf(range(31), 30, share)
        held = [low <= share <= high for low, high in (say.share_between(k, 30) for k in range(31))]
        covered.append(float((chances * held).sum()))
    assert 0.87 <= sum(covered) / len(covered) <= 0.94
