"""Times y = R @ x in numpy, float32, one thread. Prints one JSON object: microseconds of processor time, median and 10th
percentile.

usage: matvec.py ROWS COLUMNS [SECONDS]
"""
import json, os, sys, time

FIXED = ("OPENBLAS_CORETYPE", "OPENBLAS_L2_SIZE")
if any(k in os.environ for k in FIXED) or os.environ.get("OPENBLAS_NUM_THREADS") != "1":
    env = {k: v for k, v in os.environ.items() if k not in FIXED}
    env.update(OPENBLAS_NUM_THREADS="1", OMP_NUM_THREADS="1", MKL_NUM_THREADS="1")
    os.execve(sys.executable, [sys.executable, os.path.abspath(__file__)] + sys.argv[1:], env)

import numpy as np


def median_us(rows, cols, dtype, seconds=2.0):
    rng = np.random.default_rng(1)
    R = rng.standard_normal((rows, cols)).astype(dtype)
    x = rng.standard_normal(cols).astype(dtype)
    y = np.empty(rows, dtype)
    for _ in range(20):
        np.dot(R, x, out=y)
    t, end = [], time.perf_counter() + seconds
    while time.perf_counter() < end or len(t) < 50:
        a = time.process_time_ns(); np.dot(R, x, out=y); t.append(time.process_time_ns() - a)
    t = np.array(t)/1e3
    return dict(median=round(float(np.median(t)), 2), p10=round(float(np.percentile(t, 10)), 2),
                p90=round(float(np.percentile(t, 90)), 2), runs=len(t))


rows, cols = int(sys.argv[1]), int(sys.argv[2])
seconds = float(sys.argv[3]) if len(sys.argv) > 3 else 1.0
print(json.dumps(dict(rows=rows, columns=cols, numpy=np.__version__, **median_us(rows, cols, np.float32, seconds))))
