"""Programs that measure, each run by hand: on one BLAS thread, as the program itself.

This is read before any of them loads numpy, which takes the number but once.
"""

import os

for name in ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS"):
    os.environ.setdefault(name, "1")
