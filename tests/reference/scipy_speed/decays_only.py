"""The decays alone, one band after the other: the job of the script up to 2026-11-25, unchanged."""

import numpy as np
from scipy import optimize, signal
from scipy.io import wavfile

from .common import BANDS


def read_wav(path):
    rate, samples = wavfile.read(path)
    if samples.ndim > 1:
        samples = samples[:, 0]
    scale = {np.dtype("int16"): 2.0**15, np.dtype("int32"): 2.0**31}[samples.dtype]
    samples = samples / scale
    return rate, samples - samples.mean()


def cut_out(rate, samples):
    """Each sudden sound, with its index of time zero: from 20 ms before it, for two seconds or until the next."""
    high = signal.sosfilt(signal.butter(2, 800, "highpass", fs=rate, output="sos"), samples)
    frame = rate // 1000
    power = (high[: len(high) // frame * frame].reshape(-1, frame) ** 2).mean(axis=1)
    level = 10 * np.log10(power + 1e-30)
    floor = np.percentile(level, 10)
    starts, after = [], 0
    for i in np.flatnonzero(level > floor + 30):
        if i >= after and level[max(0, i - 30) : i].mean() < level[i] - 15:
            starts.append(i)
            after = i + 300
    cuts = []
    for n, start in enumerate(starts):
        around = np.abs(high[(start - 2) * frame : (start + 10) * frame])
        zero = (start - 2) * frame + int(np.argmax(around >= around.max() / 10))
        begin = max(0, zero - int(0.02 * rate))
        until = (starts[n + 1] - 2) * frame if n + 1 < len(starts) else len(samples)
        cuts.append((samples[begin : min(until, zero + 2 * rate)], zero - begin))
    return cuts


def line(t, level, top, bottom):
    if level[-1] > bottom:
        return None
    inside = slice(int(np.argmax(level <= top)), int(np.argmax(level < bottom)))
    if inside.stop - inside.start < 3:
        return None
    slope, _ = np.polyfit(t[inside], level[inside], 1)
    correlation = np.corrcoef(t[inside], level[inside])[0, 1]
    return -60 / slope, 1000 * (1 - correlation**2)


def averaged(energy, rate, step):
    count = max(1, int(step * rate))
    blocks = energy[: len(energy) // count * count].reshape(-1, count).mean(axis=1)
    return (np.arange(len(blocks)) + 0.5) * count / rate, 10 * np.log10(blocks + 1e-300)


def truncate(energy, rate, bandwidth):
    t, level = averaged(energy, rate, max(0.005, 1 / bandwidth))
    noise = energy[-len(energy) // 10 :].mean()
    top = int(np.argmax(level))
    bottom = top + int(np.argmax(level[top:] < 10 * np.log10(noise) + 10))
    if bottom - top < 3:
        return None
    slope, intercept = np.polyfit(t[top:bottom], level[top:bottom], 1)
    if slope >= 0:
        return None
    t, level = averaged(energy, rate, max(10 / -slope / 6, 0.5 / bandwidth))
    crossing = (10 * np.log10(noise) - intercept) / slope
    for _ in range(8):
        start = int(min(max(0, crossing) + 10 / -slope, 0.9 * len(energy) / rate) * rate)
        noise = energy[start:].mean()
        low = 10 * np.log10(noise) + 10
        inside = (level < low + 15) & (level > low) & (t < crossing)
        if inside.sum() < 3:
            break
        slope, intercept = np.polyfit(t[inside], level[inside], 1)
        before, crossing = crossing, (10 * np.log10(noise) - intercept) / slope
        if slope >= 0 or abs(crossing - before) < 0.002 * crossing:
            break
    if slope >= 0:
        return None
    return min(max(crossing, 0.01), len(energy) / rate), noise, slope, intercept


def full_range(energy, rate, bandwidth, rough, crossing, noise):
    """Decay time by maximum likelihood: energies of cells are gamma distributed about decay plus noise."""
    width = max(1 / bandwidth, rough / 120)
    start = max(0.005, min(0.02, 0.1 * rough))
    count = max(1, int(width * rate))
    usable = energy[int(start * rate) :]
    cells = usable[: len(usable) // count * count].reshape(-1, count).mean(axis=1)
    t = start + (np.arange(len(cells)) + 0.5) * count / rate
    keep = t < crossing + 1.0
    cells, t = cells[keep], t[keep]
    if len(cells) < 5 or noise <= 0 or np.any(cells <= 0):
        return None

    def cost(theta):
        decay = np.exp(theta[0] - np.exp(theta[1]) * t)
        floor = np.exp(theta[2])
        mean = decay + floor
        weight = (1 - cells / mean) / mean
        gradient = [
            np.sum(weight * decay),
            np.sum(-weight * decay * t) * np.exp(theta[1]),
            np.sum(weight) * floor,
        ]
        return np.sum(np.log(mean) + cells / mean), np.array(gradient)

    rate0 = np.log(1e6) / rough
    begin = [np.log(cells[:3].mean()) + rate0 * t[1], np.log(rate0), np.log(noise)]
    found = optimize.minimize(cost, begin, jac=True, method="L-BFGS-B")
    return np.log(1e6) / np.exp(found.x[1])


def decays_of_band(samples, zero, rate, band, sections, fit):
    _, low, high = band
    bandwidth = high - low
    lead = int(np.ceil(2.5 / bandwidth * rate))
    padded = np.concatenate([np.zeros(max(0, lead - zero)), samples[max(0, zero - lead) :]])
    filtered = signal.sosfilt(sections, padded[::-1])[::-1]
    energy = filtered**2
    after = energy[lead : len(energy) - int(1.5 / bandwidth * rate)]
    cut = truncate(after, rate, bandwidth)
    if cut is None:
        return 0
    crossing, noise, slope, intercept = cut
    stop = int(crossing * rate)
    decay_rate = -slope * np.log(10) / 10
    missing = 10 ** ((intercept + slope * crossing) / 10) / decay_rate * rate
    curve = np.cumsum((after[:stop] - noise)[::-1])[::-1] + missing
    whole = curve[0] + energy[:lead].sum()
    positive = curve > 0
    if not positive.all():
        curve = curve[: int(np.argmin(positive))]
    if len(curve) < 10:
        return 0
    level = 10 * np.log10(curve / whole)
    t = np.arange(len(curve)) / rate
    lines = [line(t, level, level[0], level[0] - 10), line(t, level, -5, -25), line(t, level, -5, -35)]
    count = sum(one is not None for one in lines)
    for limit in (0.05, 0.08):
        late = curve[int(limit * rate)] if int(limit * rate) < len(curve) else missing
        10 * np.log10((whole - late) / late), (whole - late) / whole
        count += 1
    curve.sum() / rate / whole
    count += 2
    rough = lines[1][0] if lines[1] is not None else np.log(1e6) / decay_rate
    if fit and full_range(after, rate, bandwidth, rough, crossing, noise) is not None:
        count += 1
    return count
