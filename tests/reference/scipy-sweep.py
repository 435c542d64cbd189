"""Samples of logarithmic sweeps by scipy.signal.chirp, for comparison: run with python3 scipy-sweep.py in this folder, writes scipy-sweep.json beside it."""
import json

import numpy
import scipy
import scipy.signal

CASES = [(20, 20000, 10, 48000), (30, 18000, 12, 44100), (50, 16000, 8, 96000)]
rows = []
for f1, f2, seconds, rate in CASES:
    n = numpy.linspace(0, seconds * rate - 1, 25).astype(int)
    x = scipy.signal.chirp(n / rate, f1, seconds, f2, method="logarithmic", phi=-90)
    rows.append({"f1_hz": f1, "f2_hz": f2, "duration_s": seconds, "rate_hz": rate, "index": n.tolist(), "value": x.tolist()})
with open("scipy-sweep.json", "w") as out:
    json.dump({"scipy": scipy.__version__, "numpy": numpy.__version__, "cases": rows}, out, indent=1)
