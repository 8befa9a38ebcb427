"""Colours against figures: contrast of text and lines (WCAG 2.1, 1.4.3 and 1.4.11), and simulated colour vision.

The simulation matrices are those of Machado, Oliveira and Fernandes, "A Physiologically-based Model for Simulation of
Color Vision Deficiency" (2009), severity 1.0, written down from memory; each row must sum to 1, which is checked.
"""

from __future__ import annotations

import pytest

from topo.draw.look import DARK, LIGHT, TEXT_SIZE, Colours

MACHADO = {
    "full colour": ((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0)),
    "protanopia": ((0.152286, 1.052583, -0.204868), (0.114503, 0.786281, 0.099216), (-0.003882, -0.048116, 1.051998)),
    "deuteranopia": ((0.367322, 0.860646, -0.227968), (0.280085, 0.672501, 0.047413), (-0.011820, 0.042940, 0.968881)),
    "tritanopia": ((1.255528, -0.076749, -0.178779), (-0.078411, 0.930809, 0.147602), (0.004733, 0.691367, 0.303900)),
}
GROUNDS = {"light": LIGHT, "dark": DARK}
TEXTS = (("ink", "paper"), ("quiet", "paper"), ("ink", "bar"), ("quiet", "bar"), ("imaging", "paper"),
         ("imaging", "bar"), ("guiding", "paper"), ("guiding", "bar"), ("trouble", "paper"), ("on_trouble", "trouble"))
LINES = (("line", "paper"), ("edge", "paper"), ("imaging", "paper"), ("guiding", "paper"), ("trouble", "paper"),
         ("line", "bar"), ("imaging", "bar"), ("guiding", "bar"))
SIDE_BY_SIDE = (("imaging", "guiding"), ("line", "trouble"), ("imaging", "trouble"))
"""Meanings that stand beside each other on one wire."""


def linear(colour: str) -> tuple[float, float, float]:
    """Linear-light red, green, blue of an sRGB colour (IEC 61966-2-1)."""
    parts = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    r, g, b = (c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts)
    return r, g, b


def seen(colour: str, eyes: str) -> float:
    """Relative luminance as these eyes see it (WCAG 2.1)."""
    rgb = linear(colour)
    r, g, b = (min(1.0, max(0.0, sum(w * c for w, c in zip(row, rgb, strict=True)))) for row in MACHADO[eyes])
    return 0.2126 * r + 0.7152 * g + 0.0722 * b


def contrast(one: str, other: str, eyes: str) -> float:
    """Contrast ratio (WCAG 2.1), 1 to 21."""
    low, high = sorted((seen(one, eyes), seen(other, eyes)))
    return (high + 0.05) / (low + 0.05)


def lightness(colour: str, eyes: str) -> float:
    """CIE 1976 L*, 0 to 100."""
    y = seen(colour, eyes)
    return 116 * y ** (1 / 3) - 16 if y > 0.008856 else 903.3 * y


def test_the_measures_are_right() -> None:
    # WCAG 2.1: black on white is 21:1. #767676 is the well-known lightest grey that passes 4.5 on white (from memory).
    assert contrast("#000000", "#ffffff", "full colour") == pytest.approx(21)
    assert contrast("#767676", "#ffffff", "full colour") == pytest.approx(4.54, abs=0.01)
    assert lightness("#ffffff", "full colour") == pytest.approx(100, abs=0.01)
    for matrix in MACHADO.values():
        assert [sum(row) for row in matrix] == pytest.approx([1, 1, 1], abs=2e-5)


@pytest.mark.parametrize("eyes", MACHADO)
@pytest.mark.parametrize("ground", GROUNDS)
def test_text_and_lines_stand_out(ground: str, eyes: str) -> None:
    colours: Colours = GROUNDS[ground]
    for least, pairs in ((4.5, TEXTS), (3.0, LINES)):
        for one, other in pairs:
            found = contrast(getattr(colours, one), getattr(colours, other), eyes)
            assert found >= least, f"{one} on {other}, {ground}, {eyes}: {found:.2f}"


@pytest.mark.parametrize("eyes", MACHADO)
@pytest.mark.parametrize("ground", GROUNDS)
def test_meanings_side_by_side_differ_in_lightness(ground: str, eyes: str) -> None:
    colours: Colours = GROUNDS[ground]
    for one, other in SIDE_BY_SIDE:
        gap = abs(lightness(getattr(colours, one), eyes) - lightness(getattr(colours, other), eyes))
        assert gap >= 8, f"{one} and {other}, {ground}, {eyes}: L* {gap:.1f} apart"


def test_colours_of_a_ground_are_told_apart_by_their_value() -> None:
    for colours in GROUNDS.values():
        values = [getattr(colours, name) for name in Colours.__slots__]
        assert len(set(values)) == len(values)


def test_text_is_legible_at_its_own_width() -> None:
    assert TEXT_SIZE >= 11
