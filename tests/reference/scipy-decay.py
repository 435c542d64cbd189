"""Readings of simulated responses by scipy, for tests/room/scipy-decay.test.ts.

Run by hand where scipy is installed: python3 tests/reference/scipy-decay.py
Writes scipy-decay.json beside this file, with the versions it ran on.

The responses are drawn by the same integer generator as in tests/room/simulated-response.ts. The reading follows ISO 3382-1
and ISO 3382-2 in its own way: Butterworth band-pass of order 3 as second-order sections at the full rate, applied to the
reversed samples (Jacobsen and Rindel 1987), noise known from the last quarter of the file, integration from where the
exponential meets it, tail added, least squares.
"""

import json
import platform
from pathlib import Path

import numpy
import scipy
from scipy import optimize, signal

CASES = [
    {"seed": 9001, "decay_time_s": 0.3, "range_db": 60, "rate_hz": 48000},
    {"seed": 9002, "decay_time_s": 0.8, "range_db": 60, "rate_hz": 44100},
    {"seed": 9003, "decay_time_s": 0.5, "range_db": 70, "rate_hz": 32000},
    {"seed": 9004, "decay_time_s": 1.5, "range_db": 60, "rate_hz": 24000},
]
LEAD_S, TAIL_S = 0.02, 0.4
OCTAVES = [63, 125, 250, 500, 1000, 2000, 4000, 8000]
THIRDS = [100, 200, 400, 800, 1600, 3150, 6300]


def gaussian_stream(seed, count):
    """Twelve uniform draws of a 32-bit xorshift generator, summed, less six."""
    mask = 0xFFFFFFFF
    state = ((seed * 2654435761) & mask) ^ 0x9E3779B9 or 1
    out = numpy.empty(count)
    for n in range(count):
        total = -6.0
        for _ in range(12):
            state ^= (state << 13) & mask
            state ^= state >> 17
            state ^= (state << 5) & mask
            total += state / 4294967296
        out[n] = total
    return out


def simulate(case):
    rate = case["rate_hz"]
    zero = round(LEAD_S * rate)
    length = zero + round((case["decay_time_s"] * case["range_db"] / 60 + TAIL_S) * rate)
    draws = gaussian_stream(case["seed"], zero + 2 * (length - zero))
    t = (numpy.arange(length) - zero) / rate
    decay = numpy.zeros(length)
    decay[zero:] = numpy.sqrt(numpy.exp(-numpy.log(1e6) / case["decay_time_s"] * t[zero:])) * draws[zero::2]
    noise = numpy.concatenate([draws[:zero], draws[zero + 1 :: 2]])
    return decay + 10 ** (-case["range_db"] / 20) * noise, zero


def edges(nominal, per_octave):
    ratio = 10**0.3
    index = round(per_octave * numpy.log(nominal / 1000) / numpy.log(ratio))
    middle = 1000 * ratio ** (index / per_octave)
    return middle * ratio ** (-1 / (2 * per_octave)), middle * ratio ** (1 / (2 * per_octave))


def line(time, level, top, bottom):
    inside = slice(numpy.argmax(level <= top), numpy.argmax(level < bottom))
    slope, intercept = numpy.polyfit(time[inside], level[inside], 1)
    correlation = numpy.corrcoef(time[inside], level[inside])[0, 1]
    return -60 / slope, 1000 * (1 - correlation**2)


def read(samples, zero, rate, low, high):
    lead = int(numpy.ceil(2.5 / (high - low) * rate))
    sections = signal.butter(3, [low, high], "bandpass", fs=rate, output="sos")
    padded = numpy.concatenate([numpy.zeros(lead), samples])
    start = zero  # index of (zero - lead) in the padded samples
    power = signal.sosfilt(sections, padded[::-1])[::-1] ** 2
    power = power[start:]
    at_zero = lead
    usable = len(power) - int(1.5 / (high - low) * rate)
    noise = power[at_zero + int(0.75 * (usable - at_zero)) : usable].mean()

    # Decay by non-linear least squares on the logarithm of averaged power: only to find where it meets the noise.
    step = max(int(rate / (high - low)), int(0.004 * rate))
    count = (usable - at_zero) // step
    averaged = power[at_zero : at_zero + count * step].reshape(count, step).mean(axis=1)
    middle = (numpy.arange(count) + 0.5) * step / rate

    def misfit(p):
        return numpy.log(numpy.exp(p[0] - numpy.exp(p[1]) * middle) + noise) - numpy.log(averaged)

    first = [numpy.log(averaged[:3].mean()), numpy.log(20.0)]
    amplitude, rate_log = optimize.least_squares(misfit, first, loss="soft_l1").x
    decay = numpy.exp(rate_log)
    stop_s = (amplitude - numpy.log(noise)) / decay
    stop = at_zero + int(stop_s * rate)
    tail = numpy.exp(amplitude - decay * stop_s) / decay * rate
    taken = power[:stop].copy()
    taken[at_zero:] -= noise
    energy = numpy.cumsum(taken[::-1])[::-1] + tail
    whole = energy[0]
    time = numpy.arange(stop - at_zero) / rate
    late = energy[at_zero:]
    positive = numpy.argmax(late <= 0) if (late <= 0).any() else len(late)
    level = 10 * numpy.log10(late[:positive] / whole)
    time = time[:positive]
    edt, _ = line(time, level - level[0], 0, -10)
    t20, _ = line(time, level, -5, -25)
    t30, xi = line(time, level, -5, -35)

    def share(seconds):
        return late[int(round(seconds * rate))] / whole

    moment = (late[1:].sum() + late[0] / 2 + tail / 2 + tail / decay * rate) / rate
    return {
        "edt_s": edt,
        "t20_s": t20,
        "t30_s": t30,
        "nonlinearity_permille": xi,
        "c50_db": 10 * numpy.log10(1 / share(0.05) - 1),
        "c80_db": 10 * numpy.log10(1 / share(0.08) - 1),
        "d50": 1 - share(0.05),
        "ts_s": moment / whole,
    }


def main():
    responses = []
    for case in CASES:
        samples, zero = simulate(case)
        bands = []
        for width, per_octave, nominals in (("octave", 1, OCTAVES), ("third-octave", 3, THIRDS)):
            for nominal in nominals:
                low, high = edges(nominal, per_octave)
                if high > 0.3 * case["rate_hz"] or (high - low) * case["decay_time_s"] < 8:
                    continue
                bands.append({"width": width, "centre_hz": nominal, **read(samples, zero, case["rate_hz"], low, high)})
        checks = {"first": samples[:4].tolist(), "sum_of_squares": float((samples**2).sum())}
        responses.append({**case, "samples": checks, "bands": bands})
    versions = {"python": platform.python_version(), "numpy": numpy.__version__, "scipy": scipy.__version__}
    target = Path(__file__).with_suffix(".json")
    target.write_text(json.dumps({"versions": versions, "responses": responses}, indent=1) + "\n")


main()
