"""Data rates, and the table of recording formats against the rules the standards give."""

import re
from fractions import Fraction
from math import ceil

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from storagecalc.models.formats import (
    fixed_frame_mbit_s,
    hours_per_tb,
    pcm_mbit_s,
    recording_format,
    recording_formats,
    still_mb,
    uncompressed_mbit_s,
)

RASTERS = {"hd": (1920, 1080), "uhd": (3840, 2160), "4096": (4096, 2160)}
VC3_WEIGHTS = {"444": 57344, "hqx": 28672, "hq": 28672, "sq": 18944, "lb": 5888}
INTRA_FRAMES = {
    ("100", "25"): 4444,
    ("100", "2997"): 3692,
    ("200", "25"): 8940,
    ("200", "2997"): 7444,
    ("300", "25"): 9844,
    ("480", "25"): 15700,
}
POSITIVE = st.floats(0.1, 1e4)


def uncompressed(width_px, height_px, frames_per_s, bit_depth, samples_per_pixel):
    return uncompressed_mbit_s(
        width_px=width_px,
        height_px=height_px,
        frames_per_s=frames_per_s,
        bit_depth=bit_depth,
        samples_per_pixel=samples_per_pixel,
    )


def test_by_hand():
    assert uncompressed(1000, 1000, 1, 10, 2) == 20.0
    assert fixed_frame_mbit_s(bytes_per_frame=125_000, frames_per_s=10) == 10.0
    assert hours_per_tb(mbit_s=8e6 / 3600) == pytest.approx(1.0, rel=1e-15)
    assert pcm_mbit_s(sample_rate_hz=1000, bit_depth=10, channel_count=2) == 0.02
    assert still_mb(megapixels=10, bit_depth=16, size_fraction=0.5) == 10.0


def test_limits_a_rate_falls_to_nothing_with_the_frames():
    assert uncompressed(1920, 1080, 1e-12, 10, 2) < 1e-7
    assert hours_per_tb(mbit_s=1e-12) > 1e14


def test_identity_8_bit_420_weighs_as_much_as_12_bit_raw():
    assert uncompressed(3840, 2160, 25, 8, 1.5) == uncompressed(3840, 2160, 25, 12, 1)


def test_identity_uhd_is_four_times_hd():
    assert uncompressed(3840, 2160, 50, 10, 2) == 4 * uncompressed(1920, 1080, 50, 10, 2)


@given(POSITIVE)
def test_property_hours_per_tb_times_gb_per_hour_is_a_tb(mbit_s):
    assert hours_per_tb(mbit_s=mbit_s) * mbit_s * 0.45 == pytest.approx(1000, rel=1e-12)


@given(st.integers(1, 10**7), st.sampled_from([Fraction(24000, 1001), Fraction(25), Fraction(50)]))
def test_second_route_exact_fractions(size, frames):
    exact = Fraction(size) * 8 * frames / 10**6
    rate = fixed_frame_mbit_s(bytes_per_frame=size, frames_per_s=float(frames))
    assert rate == pytest.approx(float(exact), rel=1e-15)


def test_arrays_broadcast():
    rates = fixed_frame_mbit_s(bytes_per_frame=np.ones((2, 1)) * 1e6, frames_per_s=np.ones(3))
    assert rates.shape == (2, 3)


@pytest.mark.parametrize("name", ["width_px", "height_px", "frames_per_s", "bit_depth"])
@pytest.mark.parametrize("bad", [0.0, -1.0, float("nan")])
def test_bad_input_is_named(name, bad):
    good = {"width_px": 2, "height_px": 2, "frames_per_s": 1, "bit_depth": 8}
    with pytest.raises(ValueError, match=rf"^{name} must be a finite number above 0, got"):
        uncompressed_mbit_s(**(good | {name: bad}), samples_per_pixel=2)


def test_a_photograph_does_not_grow_by_compression():
    with pytest.raises(ValueError, match=r"^size_fraction must be .* at most 1, got 60"):
        still_mb(megapixels=24, bit_depth=14, size_fraction=60)


def test_there_are_formats_of_every_family():
    families = {one.family for one in recording_formats()}
    assert len(recording_formats()) >= 60
    assert families >= {"RDD 36", "AVC intra", "H.264 long-GOP", "delivery", "PCM audio"}


def test_every_format_is_whole():
    kinds = {"constant frame size", "target", "maximum", "average"}
    for one in recording_formats():
        assert one.mbit_s > 0, one
        assert one.rate_kind in kinds, one
        assert one.status in {"published", "recomputed", "measured"}, one
        assert re.fullmatch(r"[a-z0-9_]+", one.key), one
        assert one is recording_format(one.key)
        low, high = one.real_fraction_low, one.real_fraction_high
        assert (low is None) == (high is None), one
        assert low is None or 0 < low <= high <= 1, one


def test_the_nearest_key_is_named():
    with pytest.raises(ValueError, match=r'got .VC3_HQ_UHD_2.; the nearest is "vc3_hq_uhd_2'):
        recording_format("VC3_HQ_UHD_2")
    with pytest.raises(ValueError, match='nearest is "h264_hd_28_max"'):
        recording_format("h264_hd_28_mx")
    with pytest.raises(ValueError, match=r"^key must be a recording format"):
        recording_format(25)


@pytest.mark.parametrize("profile", VC3_WEIGHTS)
@pytest.mark.parametrize("size", RASTERS)
@pytest.mark.parametrize("fps", ["23976", "25", "2997", "50", "5994"])
def test_vc3_second_route_the_frame_size_rule(profile, size, fps):
    """Blocks of 16 x 16 times the profile's weight over 255, rounded to whole 4096 bytes."""
    width, height = RASTERS[size]
    blocks = ceil(height / 16) * ceil(width / 16)
    size_bytes = (blocks * VC3_WEIGHTS[profile] // 255 + 2048) // 4096 * 4096
    one = recording_format(f"vc3_{profile}_{size}_{fps}")
    assert one.mbit_s == pytest.approx(size_bytes * 8e-6 * one.frames_per_s, rel=1e-15)
    assert (one.width_px, one.height_px) == (width, height)


@pytest.mark.parametrize(("which", "units"), INTRA_FRAMES.items())
def test_avc_intra_second_route_frames_in_units_of_1024_bit(which, units):
    size = "hd" if which[0] in ("100", "200") else "uhd"
    one = recording_format(f"avc_intra_{which[0]}_{size}_{which[1]}")
    assert one.mbit_s == pytest.approx(units * 1024e-6 * one.frames_per_s, rel=1e-15)


def test_uncompressed_rows_second_route_the_formula():
    samples = {"4:2:2": 2, "Bayer": 1}
    for one in recording_formats():
        if one.family.startswith(("uncompressed", "Bayer")):
            rate = uncompressed(
                one.width_px, one.height_px, one.frames_per_s, one.bit_depth, samples[one.sampling]
            )
            assert one.mbit_s == pytest.approx(rate, rel=1e-14), one.key


def test_rdd36_rows_scale_with_the_frame_rate_and_fall_short_of_the_target():
    rows = [one for one in recording_formats() if one.family == "RDD 36" and one.width_px == 1920]
    per_frame = {}
    for one in rows:
        per_frame.setdefault(one.key.rsplit("_", 1)[0], []).append(one.mbit_s / one.frames_per_s)
        assert (one.real_fraction_low, one.real_fraction_high) == (0.9, 0.95)
    assert len(per_frame) == 6
    for rates in per_frame.values():
        np.testing.assert_allclose(rates, rates[0], rtol=1e-14)


def test_sound_rows_second_route_the_formula():
    for one in recording_formats():
        if one.family == "PCM audio":
            khz, depth, channels = (
                int("".join(filter(str.isdigit, part))) for part in one.key.split("_")[1:]
            )
            hz = 44_100 if khz == 44 else khz * 1000
            assert one.mbit_s == pcm_mbit_s(
                sample_rate_hz=hz, bit_depth=depth, channel_count=channels
            )
