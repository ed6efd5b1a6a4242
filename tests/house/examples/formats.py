"""Examples for ``models/formats.py``."""

from house.examples import Example

PICTURE = {
    "width_px": 1920,
    "height_px": 1080,
    "frames_per_s": 25.0,
    "bit_depth": 10,
    "samples_per_pixel": 2.0,
}
OTHER_PICTURE = {
    "width_px": 3840,
    "height_px": 2160,
    "frames_per_s": 50.0,
    "bit_depth": 8,
    "samples_per_pixel": 1.5,
}

EXAMPLES = {
    "uncompressed_mbit_s": Example(base=PICTURE, other=OTHER_PICTURE, vectors=list(PICTURE)),
    "fixed_frame_mbit_s": Example(
        base={"bytes_per_frame": 917_504.0, "frames_per_s": 25.0},
        other={"bytes_per_frame": 458_752.0, "frames_per_s": 50.0},
        vectors=["bytes_per_frame", "frames_per_s"],
    ),
    "hours_per_tb": Example(base={"mbit_s": 100.0}, other={"mbit_s": 50.0}, vectors=["mbit_s"]),
    "pcm_mbit_s": Example(
        base={"sample_rate_hz": 48_000.0, "bit_depth": 24, "channel_count": 2},
        other={"sample_rate_hz": 96_000.0, "bit_depth": 16, "channel_count": 8},
        vectors=["sample_rate_hz", "bit_depth", "channel_count"],
    ),
    "still_mb": Example(
        base={"megapixels": 24.0, "bit_depth": 14, "size_fraction": 0.6},
        other={"megapixels": 45.0, "bit_depth": 12, "size_fraction": 0.5},
        vectors=["megapixels", "bit_depth", "size_fraction"],
    ),
    "recording_formats": Example(base={}, other={}),
    "recording_format": Example(
        base={"key": "vc3_1235_hd_25"}, other={"key": "vc3_1237_hd_25"}, no_number=["key"]
    ),
}
