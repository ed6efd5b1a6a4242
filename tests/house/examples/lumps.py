"""Examples for ``models/lumps.py``."""

import numpy as np
from house.examples import Example

JOBS = {"jobs_per_month": 3.0, "job_size_spread_fraction": 0.5}
OTHER_JOBS = {"jobs_per_month": 4.0, "job_size_spread_fraction": 0.8}

EXAMPLES = {
    "lump_factors": Example(
        base={**JOBS, "months": 5, "draws": 4, "generator": np.random.default_rng(1)},
        other={**OTHER_JOBS, "months": 6, "draws": 5, "generator": np.random.default_rng(2)},
        columns=list(JOBS),
        gives_array=True,
        no_number=["generator"],
    ),
    "lump_variance": Example(base=JOBS, other=OTHER_JOBS, vectors=list(JOBS)),
}
