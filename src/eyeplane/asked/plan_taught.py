"""What one measured sitting teaches, as it could have been typed for a plan."""

from collections.abc import Sequence

from eyeplane.asked.plan_known import typed_text
from eyeplane.records import KitFocus, Learned


def learned_texts(learned: Learned) -> dict[str, str]:
    """Return what was learned, as it could have been typed.

    Parameters
    ----------
    learned : Learned
        Focus of each kit, speeds of hand and sitter.

    Returns
    -------
    dict of str to str
        By option: "shake", "focus-bias", "focus-spread" and "sitter-speed", those that are known;
        the focus of the kit with most frames.

    Examples
    --------
    >>> from eyeplane.records import Measured
    >>> learned_texts(Learned(shake_deg_per_s=Measured(value=0.5, low=0.1, high=2.0)))
    {'shake': '0.5 deg/s (0.1 to 2)'}
    """
    texts = {}
    if learned.shake_deg_per_s is not None:
        texts["shake"] = typed_text(learned.shake_deg_per_s, "deg/s")
    kit = most_told(learned.focus)
    if kit is not None:
        texts["focus-bias"] = typed_text(kit.bias_mm, "mm")
        texts["focus-spread"] = typed_text(kit.spread_mm, "mm", least_value=0.1)
    if learned.sitter_mm_per_s is not None:
        texts["sitter-speed"] = typed_text(learned.sitter_mm_per_s, "mm/s")
    return texts


def most_told(kits: Sequence[KitFocus]) -> KitFocus | None:
    """Return the kit whose focus rests on most frames.

    Parameters
    ----------
    kits : sequence of KitFocus
        Kits and their settings.

    Returns
    -------
    KitFocus or None
        A kit's own line, not that of one of its settings; None without any.
    """
    return max((kit for kit in kits if not kit.setting), key=lambda kit: kit.frames, default=None)
