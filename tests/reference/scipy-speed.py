"""The job of analysing a project's takes, as one would write it with numpy and scipy: what tests/bench/speed.bench-run.ts times against.

    python3 tests/reference/scipy-speed.py FOLDER [--band-by-band | --decays-only [--no-fit]]

Every WAV file under FOLDER, as our analysis reads it: the claps found among other sudden sounds and cut out; what is wrong with the
take (clipping, dropouts, a gate, automatic gain, coding with loss, hum, constant offset, too little range or bass, double hits, other
sounds in a decay); each clap in 8 octaves and 24 one-third octaves by a reversed Butterworth band-pass of order 3: truncation by the
iteration of Lundeby and others (1995) and again by the fit, steady noise, backward integration with the noise taken off and the tail
added, EDT, T20, T30 with non-linearity and curvature, C50, C80, D50, Ts, late level, the decay time over the full range by maximum
likelihood with its standard error, scatter, bend, and a second slope sought and tested, range and flags; speech transmission index,
early reflections, colour of the direct sound.

Written to be quick where numpy and scipy allow: all bands of all claps of a take stand side by side as rows of arrays, so that 96 decays
share each call of numpy, and bands are filtered in the frequency domain, whose low bins alone are brought back for low bands. It is a good
deal more work to write than a loop over bands. --band-by-band gives the same functions one row at a time: what the calls of numpy cost where
nothing is batched (a loop written as such would be somewhat quicker). Rules and limits are those of the sources in src/, kept short here.

What ours does besides, and this does not: fingerprints of files and kept results, reading of the project file, words for each fault and
refusal, coded audio, takes of other kinds (ready responses, sweeps, noise, calibration, passages). What this does otherwise: bands are exact
analogue filters (ours are within class 1 of them), reflections come from scipy's peak finder, and fits give up a little sooner (25 rounds of 6
halvings; ours 40 of 12).

--decays-only is the job of this script up to 2026-11-25, unchanged, one band after the other: loud sounds cut out, decay times, clarity and
the fit of the full range by scipy.optimize (not with --no-fit), no faults, no second slopes, no reflections, no speech.

One process, nothing kept. Prints one JSON object: seconds of processor time and of the clock, and counts and medians that show that the job
was done.
"""

import json
import platform
import sys
import time
from pathlib import Path

sys.dont_write_bytecode = True

import numpy as np  # noqa: E402
import scipy  # noqa: E402
from scipy import signal  # noqa: E402

from scipy_speed.common import BANDS  # noqa: E402
from scipy_speed.decays_only import cut_out, decays_of_band, read_wav  # noqa: E402
from scipy_speed.readings import analyse  # noqa: E402

COUNTS = (
    "responses",
    "values",
    "second_slopes_tested",
    "second_slopes",
    "reflections",
    "speech_indices",
    "flags",
)


def decays_only(folder, fit, found):
    designs = {}
    for path in sorted(folder.rglob("*.wav")):
        rate, samples = read_wav(path)
        for cut, zero in cut_out(rate, samples):
            found["responses"] += 1
            for band in BANDS:
                if band[2] > 0.45 * rate:
                    continue
                key = (rate, band[0], band[1])
                if key not in designs:
                    designs[key] = signal.butter(3, band[1:], "bandpass", fs=rate, output="sos")
                found["values"] += decays_of_band(cut, zero, rate, band, designs[key], fit)


def same_job(folder, found, in_turn):
    paths = sorted(folder.rglob("*.wav"))
    takes = [analyse(path, found, in_turn) for path in paths]
    found["faults"] = {str(path.relative_to(folder)): sorted(take["faults"]) for path, take in zip(paths, takes) if take["faults"]}
    names = next((list(take["values"]) for take in takes if take["values"]), [])
    columns = {name: np.concatenate([take["values"][name] for take in takes if take["values"]]) for name in names}
    found["values"] = int(sum(np.isfinite(column).sum() for column in columns.values()))
    found["medians"] = {
        name: {"count": int(np.isfinite(column).sum()), "median": float(np.nanmedian(column))}
        for name, column in columns.items()
        if np.isfinite(column).any()
    }


def main():
    folder = Path(sys.argv[1])
    # What is divided by nothing becomes no number, and is left out in the end.
    np.seterr(all="ignore")
    begun, clock = time.process_time(), time.perf_counter()
    found = dict.fromkeys(COUNTS, 0)
    if "--decays-only" in sys.argv:
        decays_only(folder, "--no-fit" not in sys.argv, found)
    else:
        same_job(folder, found, "--band-by-band" in sys.argv)
    spent = {"cpu_s": round(time.process_time() - begun, 3), "clock_s": round(time.perf_counter() - clock, 3)}
    versions = {"python": platform.python_version(), "numpy": np.__version__, "scipy": scipy.__version__}
    print(json.dumps({**spent, **found, **versions}))


if __name__ == "__main__":
    main()
