"""What all parts of the script share: the bands, and filters and windows made once."""

import numpy as np
from scipy import signal

RATIO = 10**0.3
OCTAVES = [1000 * RATIO**k for k in range(-4, 4)]
THIRDS = [1000 * RATIO ** (k / 3) for k in range(-13, 11)]
BANDS = [(f, f * RATIO**-0.5, f * RATIO**0.5) for f in OCTAVES] + [
    (f, f * RATIO ** (-1 / 6), f * RATIO ** (1 / 6)) for f in THIRDS
]
SILENCE_DB = -180.0
LN_MILLION = np.log(1e6)
MADE = {}


def made(key, make):
    if key not in MADE:
        MADE[key] = make()
    return MADE[key]


def sections(kind, corner_hz, rate):
    return made((kind, corner_hz, rate), lambda: signal.butter(2, corner_hz, kind, fs=rate, output="sos"))


def first_true(mask, otherwise):
    return int(np.argmax(mask)) if mask.any() else otherwise


def db(power):
    return 10 * np.log10(np.maximum(power, 1e-300))
