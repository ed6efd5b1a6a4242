"""Data rates and sizes of recording formats, sound and photographs.

A rate in Mb/s is 10^6 bits a second of what is written: no blanking, no container, no sound unless
said. For camera pictures the container adds less than 0.3 %.
"""

import difflib
from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from typing import Any

from storagecalc.models.checks import checked
from storagecalc.models.tables import table
from storagecalc.models.units import BITS_PER_BYTE, BYTES_PER_MB, BYTES_PER_TB, SECONDS_PER_HOUR

_BITS_PER_MBIT = 1e6


@dataclass(frozen=True, slots=True, kw_only=True)
class RecordingFormat:
    """One row of the table of recording formats.

    ``rate_kind`` is "constant frame size", "target", "maximum" or "average"; ``status`` is
    "published", "recomputed" or "measured". ``real_fraction_low`` and ``real_fraction_high`` are
    the rates of real files as a share of ``mbit_s``, None where no source says. Raster, frame rate
    and depth are None where a format has none or has several.
    """

    key: str
    label: str
    family: str
    width_px: int | None
    height_px: int | None
    frames_per_s: float | None
    bit_depth: int | None
    sampling: str
    mbit_s: float
    rate_kind: str
    real_fraction_low: float | None
    real_fraction_high: float | None
    status: str
    source: str


def uncompressed_mbit_s(
    *,
    width_px: Any,
    height_px: Any,
    frames_per_s: Any,
    bit_depth: Any,
    samples_per_pixel: Any,
) -> Any:
    """Rate of uncompressed moving pictures, active picture only.

    Formula: ``width * height * samples_per_pixel * bit_depth * frames_per_s / 10**6``. Serial
    interfaces carry blanking as well: do not size storage by their 1.485 or 2.97 Gb/s.

    Parameters
    ----------
    width_px, height_px
        Raster, above 0.
    frames_per_s
        Frames a second, above 0; "23.976" is exactly 24000/1001.
    bit_depth
        Bits in a sample as stored, above 0; 16 where 12-bit samples are stored in 16-bit words.
    samples_per_pixel
        1 for raw of a sensor with a colour mosaic, 1.5 for 4:2:0, 2 for 4:2:2, 3 for 4:4:4.

    Returns
    -------
    float or numpy array
        Mb/s, in the shape the arguments broadcast to.

    Raises
    ------
    ValueError
        Where an argument is not finite or not above 0.

    Notes
    -----
    With blanking, 2200 x 1125 at 30 frames a second is the 1.485 Gb/s of SMPTE 292M: L. Gharai
    et al., RFC 3497, IETF, 2003, section 1.

    Examples
    --------
    >>> uncompressed_mbit_s(
    ...     width_px=1920, height_px=1080, frames_per_s=30, bit_depth=10, samples_per_pixel=2
    ... )
    1244.16
    """
    pixels = checked("width_px", width_px, above=0) * checked("height_px", height_px, above=0)
    bits = checked("bit_depth", bit_depth, above=0) * checked(
        "samples_per_pixel", samples_per_pixel, above=0
    )
    return pixels * bits * checked("frames_per_s", frames_per_s, above=0) / _BITS_PER_MBIT


def fixed_frame_mbit_s(*, bytes_per_frame: Any, frames_per_s: Any) -> Any:
    """Rate of a format that writes the same number of bytes for every frame.

    Formula: ``bytes_per_frame * 8 * frames_per_s / 10**6``.

    Parameters
    ----------
    bytes_per_frame
        Bytes a frame, above 0.
    frames_per_s
        Frames a second, above 0.

    Returns
    -------
    float or numpy array
        Mb/s, in the shape the arguments broadcast to.

    Raises
    ------
    ValueError
        Where an argument is not finite or not above 0.

    Examples
    --------
    >>> fixed_frame_mbit_s(bytes_per_frame=500_000, frames_per_s=25)
    100.0
    """
    bytes_per_s = checked("bytes_per_frame", bytes_per_frame, above=0) * checked(
        "frames_per_s", frames_per_s, above=0
    )
    return bytes_per_s * BITS_PER_BYTE / _BITS_PER_MBIT


def hours_per_tb(*, mbit_s: Any) -> Any:
    """Hours of recording that fill one TB.

    Formula: ``8 * 10**12 / (mbit_s * 10**6 * 3600)``.

    Parameters
    ----------
    mbit_s
        Recording rate in Mb/s, above 0.

    Returns
    -------
    float or numpy array
        Hours, in the shape of the rate.

    Raises
    ------
    ValueError
        Where the rate is not finite or not above 0.

    Examples
    --------
    >>> round(hours_per_tb(mbit_s=100), 2)
    22.22
    """
    bits_per_h = checked("mbit_s", mbit_s, above=0) * _BITS_PER_MBIT * SECONDS_PER_HOUR
    return BITS_PER_BYTE * BYTES_PER_TB / bits_per_h


def pcm_mbit_s(*, sample_rate_hz: Any, bit_depth: Any, channel_count: Any) -> Any:
    """Rate of uncompressed sound.

    Formula: ``sample_rate_hz * bit_depth * channel_count / 10**6``.

    Parameters
    ----------
    sample_rate_hz
        Samples a second in each channel, above 0.
    bit_depth
        Bits in a sample, above 0.
    channel_count
        Channels, above 0.

    Returns
    -------
    float or numpy array
        Mb/s, in the shape the arguments broadcast to.

    Raises
    ------
    ValueError
        Where an argument is not finite or not above 0.

    Examples
    --------
    >>> pcm_mbit_s(sample_rate_hz=48_000, bit_depth=24, channel_count=2)
    2.304
    """
    bits_per_sample = checked("bit_depth", bit_depth, above=0) * checked(
        "channel_count", channel_count, above=0
    )
    return checked("sample_rate_hz", sample_rate_hz, above=0) * bits_per_sample / _BITS_PER_MBIT


def still_mb(*, megapixels: Any, bit_depth: Any, size_fraction: Any) -> Any:
    """Size of one raw photograph of a sensor with a colour mosaic, without a preview.

    Formula: ``megapixels * bit_depth / 8 * size_fraction``.

    Parameters
    ----------
    megapixels
        10^6 pixels, above 0.
    bit_depth
        Bits a pixel as stored, above 0; 16 where 14-bit samples are stored in 16-bit words.
    size_fraction
        Compressed size as a share of the size before, above 0, at most 1. Lossless coding reaches
        0.4 to 0.8, depending on the picture.

    Returns
    -------
    float or numpy array
        MB (10^6 bytes), in the shape the arguments broadcast to.

    Raises
    ------
    ValueError
        Where an argument is not finite or outside its range.

    Examples
    --------
    >>> still_mb(megapixels=24, bit_depth=14, size_fraction=1)
    42.0
    """
    mbit = checked("megapixels", megapixels, above=0) * checked("bit_depth", bit_depth, above=0)
    megabytes = mbit * _BITS_PER_MBIT / (BITS_PER_BYTE * BYTES_PER_MB)
    return megabytes * checked("size_fraction", size_fraction, above=0, at_most=1)


@cache
def recording_formats() -> tuple[RecordingFormat, ...]:
    """Every recording format in the table, in file order.

    Examples
    --------
    >>> len(recording_formats()) >= 60
    True
    """
    return tuple(_format_of(row) for row in table("recording_formats"))


def recording_format(key: str) -> RecordingFormat:
    """One recording format.

    Parameters
    ----------
    key
        As in the table, such as "vc3_hq_uhd_25".

    Returns
    -------
    RecordingFormat

    Raises
    ------
    ValueError
        Where there is no such key; the message names the nearest one.

    Examples
    --------
    >>> recording_format("h264_hd_28_max").mbit_s
    28.0
    """
    formats = _formats_by_key()
    if not isinstance(key, str) or key not in formats:
        nearest = difflib.get_close_matches(str(key)[:60].lower(), formats, n=1, cutoff=0.0)
        raise ValueError(
            f"key must be a recording format of the table, got {key!r:.60}; "
            f'the nearest is "{nearest[0]}"'
        )
    return formats[key]


@cache
def _formats_by_key() -> dict[str, RecordingFormat]:
    return {one.key: one for one in recording_formats()}


def _format_of(row: Any) -> RecordingFormat:
    numbers = {
        "width_px": _maybe(int, row["width_px"]),
        "height_px": _maybe(int, row["height_px"]),
        "frames_per_s": _maybe(lambda text: float(Fraction(text)), row["frames_per_s"]),
        "bit_depth": _maybe(int, row["bit_depth"]),
        "mbit_s": float(row["mbit_s"]),
        "real_fraction_low": _maybe(float, row["real_fraction_low"]),
        "real_fraction_high": _maybe(float, row["real_fraction_high"]),
    }
    words = ("key", "label", "family", "sampling", "rate_kind", "status", "source")
    return RecordingFormat(**numbers, **{name: row[name] for name in words})


def _maybe(number: Any, text: str) -> Any:
    return number(text) if text else None
