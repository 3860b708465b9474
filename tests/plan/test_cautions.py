"""Cautions stand where they apply, and nowhere else."""

from eyeplane.plan import cautions as c


def test_nothing_to_fear_nothing_said() -> None:
    assert c.cautions() == ()
    assert c.cautions(age_years=40.0) == ()


def test_flash_asks_first_and_spares_infants() -> None:
    assert c.cautions(flash=True) == (c.FLASH,)
    assert c.STARTLE in c.cautions(flash=True, age_years=0.8)
    assert c.STARTLE not in c.cautions(flash=True, age_years=8.0)
    assert c.STARTLE not in c.cautions(age_years=0.8)


def test_children_have_an_adult_beside_them() -> None:
    assert c.cautions(age_years=4.0) == (c.STOOL, c.GUARDIAN)
    assert c.STOOL not in c.cautions(age_years=0.1)
    assert c.NEWBORN in c.cautions(age_years=0.05)
    # A child is anybody under eighteen: UN Convention on the Rights of the Child, 1989, article 1.
    assert c.cautions(age_years=14.0) == (c.GUARDIAN,)
    assert c.cautions(age_years=18.0) == ()


def test_stands_and_steps() -> None:
    assert c.cautions(stands=True, moves=True) == (c.STANDS, c.MOVES)


def test_flash_is_called_neither_safe_nor_unsafe() -> None:
    said = " ".join(c.cautions(flash=True, age_years=0.1)).lower()
    assert "safe" not in said
    assert "damage" not in said
