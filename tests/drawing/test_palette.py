"""One meaning per look, readable in both themes, and never by colour alone."""

from __future__ import annotations

from itertools import combinations

import pytest

from linkage.drawing.palette import DARK, LIGHT, OKABE_ITO, THEMES, Theme, blend, contrast
from linkage.drawing.scene import Role


def test_contrast_of_black_and_white_is_21() -> None:
    # WCAG 2: the greatest ratio there is.
    assert contrast("#000000", "#ffffff") == pytest.approx(21.0)
    assert contrast("#777777", "#777777") == 1.0


def test_blend() -> None:
    assert blend("#000000", "#ff8000", 0.5) == "#804000"
    assert len(set(OKABE_ITO)) == 8


@pytest.mark.parametrize("theme", [LIGHT, DARK], ids=["light", "dark"])
def test_every_role_is_readable(theme: Theme) -> None:
    assert set(theme.styles) == set(Role)
    for role in Role:
        style = theme.style(role)
        assert contrast(style.stroke, theme.paper) >= 3.0, role
        assert contrast(style.text, theme.paper) >= 4.5, role
    assert contrast(theme.ink, theme.paper) > 12


@pytest.mark.parametrize("theme", list(THEMES.values()), ids=list(THEMES))
def test_no_two_roles_differ_by_colour_alone(theme: Theme) -> None:
    def without_colour(role: Role) -> tuple[object, ...]:
        style = theme.style(role)
        # The spring has its coil, the ground its ticks, and both ends of the scale are told by width.
        sign = role if role in (Role.SPRING, Role.GROUND) else None
        return (style.width, style.dashes, style.hatch, style.fill is None, style.opacity, sign)

    for a, b in combinations(Role, 2):
        assert without_colour(a) != without_colour(b), (a, b)
