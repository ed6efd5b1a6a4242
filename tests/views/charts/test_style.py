"""Colours of charts: apart for every eye, legible on white, and told apart by dash as well."""

from itertools import combinations

import numpy as np
import pytest

from storagecalc.views.charts import drawing
from storagecalc.views.charts.style import BUILD_STYLES

# What colour-blind eyes see of linear red, green and blue: Machado, Oliveira and Fernandes, "A
# Physiologically-based Model for Simulation of Color Vision Deficiency", IEEE, 2009, severity 1.
EYES = {
    "usual": np.eye(3),
    "without red": np.array(
        [
            [0.152286, 1.052583, -0.204868],
            [0.114503, 0.786281, 0.099216],
            [-0.003882, -0.048116, 1.051998],
        ]
    ),
    "without green": np.array(
        [
            [0.367322, 0.860646, -0.227968],
            [0.280085, 0.672501, 0.047413],
            [-0.011820, 0.042940, 0.968881],
        ]
    ),
}
# From linear sRGB to CIE XYZ, white at D65 (IEC 61966-2-1).
TO_XYZ = np.array(
    [
        [0.4124564, 0.3575761, 0.1804375],
        [0.2126729, 0.7151522, 0.0721750],
        [0.0193339, 0.1191920, 0.9503041],
    ]
)
# Differences in CIELAB from about 2 on are seen side by side; lines far apart need many times that.
FAR_APART = 20.0


def linear(color: str) -> np.ndarray:
    parts = np.array([int(color[place : place + 2], 16) for place in (1, 3, 5)]) / 255
    return np.where(parts <= 0.04045, parts / 12.92, ((parts + 0.055) / 1.055) ** 2.4)


def lab(light: np.ndarray) -> np.ndarray:
    share = TO_XYZ @ np.clip(light, 0, 1) / (TO_XYZ @ np.ones(3))
    root = np.where(share > (6 / 29) ** 3, np.cbrt(share), share / (3 * (6 / 29) ** 2) + 4 / 29)
    return np.array([116 * root[1] - 16, 500 * (root[0] - root[1]), 200 * (root[1] - root[2])])


def contrast(color: str, ground: str = "#FFFFFF") -> float:
    """As WCAG 2 defines it."""
    dark, light = sorted((TO_XYZ @ linear(each))[1] for each in (color, ground))
    return float((light + 0.05) / (dark + 0.05))


@pytest.mark.parametrize("eye", EYES)
def test_builds_and_footage_stay_apart_for_every_eye(eye):
    colors = [*(str(style["color"]) for style in BUILD_STYLES), drawing.FOOTAGE]
    seen = {color: lab(EYES[eye] @ linear(color)) for color in colors}
    distances = {
        (one, other): float(np.linalg.norm(seen[one] - seen[other]))
        for one, other in combinations(colors, 2)
    }
    nearest = min(distances, key=lambda pair: distances[pair])
    assert distances[nearest] > FAR_APART, f"{nearest}: {distances[nearest]:.1f}"


def test_six_builds_differ_in_colour_and_in_dash():
    assert len({style["color"] for style in BUILD_STYLES}) == 6
    assert len({style["dash"] for style in BUILD_STYLES}) == 6


def test_lines_and_letters_have_enough_contrast():
    lines = [str(style["color"]) for style in BUILD_STYLES]
    assert min(contrast(color) for color in [*lines, drawing.MORE, drawing.LESS]) >= 3
    letters = (drawing.TEXT, drawing.SOFT, drawing.CHOSEN, drawing.OTHER, drawing.NAME)
    assert min(contrast(color) for color in [*letters, drawing.FOOTAGE]) >= 4.5
    assert min(contrast(color, drawing.TINT) for color in (drawing.TEXT, drawing.CHOSEN)) >= 4.5
    assert contrast(drawing.SOFT, drawing.SHADE) >= 4.5
