"""Everything that is read off the claps of a take."""

import numpy as np
from scipy import fft, signal
from scipy.io import wavfile

from .claps import examine
from .common import LN_MILLION, MADE, db, first_true
from .fits import energy_after, fitted, time_at_noise
from .rows import SPANS, Rows, band_rows, decay_lines, schroeder, steady_ends, truncations

MODULATION_HZ = np.array([0.63, 0.8, 1, 1.25, 1.6, 2, 2.5, 3.15, 4, 5, 6.3, 8, 10, 12.5])
ALPHA = np.array([0.085, 0.127, 0.23, 0.233, 0.309, 0.224, 0.173])
BETA = np.array([0.085, 0.078, 0.065, 0.011, 0.047, 0.095])


def joined(whole, shorter, at):
    """Columns of some rows put in place of those of the whole."""
    for name in whole:
        whole[name][at] = shorter[name]


def measure(rows, direct, found):
    """All numbers of all rows, not a number where the range, the bandwidth times the time or the fit forbid one."""
    cut = truncations(rows)
    rows = rows[cut["found"]]
    if not len(rows.rate):
        return None
    cut = {name: column[cut["found"]] for name, column in cut.items()}
    end = steady_ends(rows, cut)
    first, full, last = fitted(rows, cut)
    late_slope = full["two"] & np.isfinite(full["model"][:, -1])
    late_slope &= full["model"][:, 1] - full["model"][:, 3] < np.log(6)
    drifts = np.flatnonzero((end < rows.end) & ~late_slope)
    if len(drifts):
        columns = {**rows.columns, "end": rows.end.copy()}
        columns["end"][drifts] = end[drifts]
        rows = Rows(rows.flat, **columns)
        anew = rows[drifts]
        cut_anew = truncations(anew)
        old = {name: column[drifts] for name, column in cut.items()}
        cut_anew = {name: np.where(cut_anew["found"], column, old[name]) for name, column in cut_anew.items()}
        first_anew, full_anew, last[drifts] = fitted(anew, cut_anew)
        joined(cut, cut_anew, drifts)
        joined(first, first_anew, drifts)
        joined(full, full_anew, drifts)
    model = full["model"]
    trusted = full["found"] & (full["verdict"] != 2) & (np.isfinite(model[:, -1]) | ~cut["met"])
    stop = np.where(full["two"], time_at_noise(model, rows.end, 2), time_at_noise(model, rows.end, 1))
    slowest = np.where(full["two"], model[:, 3], model[:, 1])
    final = {
        "stop": np.where(trusted, stop, first["stop"]),
        "noise": np.where(trusted, np.exp(model[:, -1]), first["noise"]),
        "missing": np.where(trusted, energy_after(model, stop, 2), first["missing"]),
        "rate": np.where(trusted, np.exp(slowest), cut["rate"]),
    }
    step, energy, whole = schroeder(rows, final, 2000)
    lines = decay_lines(step, energy, whole, SPANS)
    floor = np.maximum(np.maximum(final["noise"], final["missing"] * final["rate"]), 0.3 * last)
    late_db = cut["level"] - db(np.maximum(cut["noise"], 10 ** ((cut["level"] + cut["slope"] * cut["time"]) / 10)))
    cells = 1 / rows.width
    edges = cells[:, None] * np.arange(int(np.max(final["stop"] / cells)) + 2)
    cell_power = np.diff(rows.energy(edges)) / cells[:, None]
    strongest = np.where(edges[:, :-1] < final["stop"][:, None], cell_power, 0).max(axis=1)
    t20, t20_level, _ = lines["t20"]
    by_line = t20_level + db(whole * LN_MILLION / np.where(np.isnan(t20), 1, t20) / floor) + 3
    range_db = np.where(full["found"], full["range"], late_db)
    range_db = np.minimum(range_db, db(strongest / floor) + 6)
    range_db = np.where(np.isnan(t20), range_db, np.minimum(range_db, by_line))
    early = np.where(full["verdict"] == 1, LN_MILLION / np.exp(model[:, 1]), full["time"])
    by_fit = np.where(full["found"] & (full["verdict"] != 2) & (range_db >= 20), early, np.nan)
    vouching = np.where((range_db >= 35) & ~np.isnan(t20), t20, by_fit)
    bt = rows.width * vouching
    given = bt >= 4
    values = {
        name: np.where(given & (range_db >= least), lines[name][0], np.nan)
        for name, least in (("edt", 20), ("t20", 35), ("t30", 45))
    }
    noise_error = {
        name: 1.96 * factor * 10 ** (-range_db / 20) / np.sqrt(bt)
        for name, factor in (("edt", 7.1), ("t20", 18), ("t30", 32))
    }
    enough = given & (range_db >= 20)
    values["tfull"] = np.where(enough & full["found"] & (full["verdict"] == 0), full["time"], np.nan)
    values["tfull error"] = np.where(np.isnan(values["tfull"]), np.nan, full["error"])
    times = np.broadcast_to(np.array([0.05, 0.08, 0.02]), (len(bt), 3))
    total = rows.energy(final["stop"][:, None]) + final["missing"][:, None]
    later = total - rows.energy(times) - final["noise"][:, None] * (final["stop"][:, None] - times)
    beyond = final["missing"][:, None] * np.exp(-final["rate"][:, None] * (times - final["stop"][:, None]))
    later = np.where(times <= final["stop"][:, None], later, beyond)
    with np.errstate(divide="ignore", invalid="ignore"):
        values["c50"], values["c80"] = (
            np.where(enough, 10 * np.log10((whole - later[:, k]) / later[:, k]), np.nan) for k in (0, 1)
        )
        values["d50"] = np.where(enough, (whole - later[:, 0]) / whole, np.nan)
        moment = (energy[:, ::4].sum(axis=1) - (energy[:, 0] + energy[:, -1]) / 2) * 4 * step
        values["ts"] = np.where(enough, (moment + final["missing"] / final["rate"]) / whole, np.nan)
        late = (final["stop"] > 0.02) & (later[:, 2] > 0)
        values["late"] = np.where(enough & late, 10 * np.log10(later[:, 2] / direct[rows.clap]), np.nan)
        curvature = 100 * (values["t30"] / values["t20"] - 1)
        bent = np.where(np.isnan(values["t30"]), lines["t20"][2], lines["t30"][2])
        values["curvature"] = curvature
        values["non-linearity"] = np.where(np.isnan(values["t20"]), np.nan, bent)
        flags = [given & (bt < 8), curvature > 10, values["non-linearity"] > 10]
        flags += [~np.isnan(values[name]) & (noise_error[name] > 0.05) for name in noise_error]
    found["flags"] += int(sum(flag.sum() for flag in flags))
    found["second_slopes_tested"] += int(full["tested"].sum())
    found["second_slopes"] += int((full["two"] & given).sum())
    curves = energy[:, ::6], step * 6
    return rows, values, range_db, given, curves


def measure_in_turn(rows, direct, found):
    """The same, one row after the other."""
    each = [measure(rows[i : i + 1], direct, found) for i in range(len(rows.rate))]
    parts, values, ranges, given, curves = zip(*(one for one in each if one is not None))
    joint = Rows(rows.flat, **{name: np.concatenate([part.columns[name] for part in parts]) for name in rows.columns})
    values = {name: np.concatenate([value[name] for value in values]) for name in values[0]}
    curves = tuple(np.concatenate(part) for part in zip(*curves))
    return joint, values, np.concatenate(ranges), np.concatenate(given), curves


def speech_index(rows, range_db, given, curves, clap):
    """Speech transmission index from the curves of the seven octaves from 125 Hz (IEC 60268-16, indirect method)."""
    at = np.flatnonzero((rows.clap == clap) & (rows.band >= 1) & (rows.band <= 7) & given & (range_db >= 20))
    if len(at) < 7:
        return None
    energy, step = np.maximum(curves[0][at], 0), curves[1][at]
    lost = -np.diff(energy, axis=1, append=0)
    middle = step[:, None] * (np.arange(energy.shape[1]) + 0.5)
    turned = np.exp(-2j * np.pi * MODULATION_HZ[:, None] * middle[:, None, :])
    modulation = np.abs(turned @ lost[:, :, None])[:, :, 0] / energy[:, :1]
    ratio = 10 * np.log10(modulation / np.maximum(1 - modulation, 1e-9))
    index = ((np.clip(ratio, -15, 15) + 15) / 30).mean(axis=1)
    return min(1.0, float(ALPHA @ index - BETA @ np.sqrt(index[1:] * index[:-1])))


def decay_levels(rows):
    """Levels in cells of some milliseconds of the octaves from 125 Hz up, not a number from where they come near the noise."""
    rows = rows[(rows.band >= 1) & (rows.band <= 7)]
    cell = np.maximum(0.005, 1.5 / rows.width)
    count = np.minimum(300, np.floor(rows.end / cell)).astype(int)
    noise = rows.mean(0.85 * rows.end, rows.end) * cell
    index = np.arange(count.max() + 1)
    energy = np.diff(rows.energy(cell[:, None] * index))
    energy[index[:-1] >= count[:, None]] = 0
    together = signal.convolve(energy, np.ones((1, 4)), mode="valid", method="direct")
    stop = np.argmax(np.pad(together <= 40 * noise[:, None], ((0, 0), (0, 1)), constant_values=True), axis=1)
    level = db(np.maximum(energy - noise[:, None], 0.1 * energy))
    level[index[:-1] >= stop[:, None]] = np.nan
    return rows.clap, rows.band, cell, level


def lifted(levels, clap, claps):
    """Whether another sound sets in during a decay, which the other claps of the take do not have."""
    whose, band, cell, level = levels
    own = np.flatnonzero(whose == clap)
    beside = np.stack([level[(whose == other)] for other in claps if other != clap])
    apart = level[own] - np.median(beside, axis=0)
    after = np.arange(0.03, np.max(cell[own]) * level.shape[1], 0.005)
    top = [np.zeros(len(after)) for _ in range(5)]
    for difference, cell_s in zip(apart, cell[own]):
        difference = difference[: first_true(np.isnan(difference), len(difference))]
        n = len(difference)
        if n < 6:
            continue
        variance = max(0.3, 1.05 * np.median(np.abs(np.diff(difference)))) ** 2
        squares = n * (n * n - 1) / 12
        slope = difference @ (np.arange(n) - (n - 1) / 2) / squares
        sums = np.concatenate([[0], np.cumsum(difference)])
        before = np.round(after / cell_s).astype(int)
        good = (before >= 2) & (n - before >= 3)
        before = np.where(good, before, 2)
        step = (sums[-1] - sums[before]) / (n - before) - sums[before] / before
        own_variance = variance * (1 / before + 1 / (n - before))
        share = good / (own_variance + 0.09)
        for total, part in zip(top, (share * step, share, good, good * step**2 / own_variance, good * slope**2 * squares / variance)):
            total += part
    weighted, weight, bands, explained, drift = top
    sigmas = np.where(bands >= 2, weighted / np.sqrt(np.maximum(weight, 1e-12)), 0)
    if not len(sigmas):
        return False
    best = int(np.argmax(sigmas))
    return bool(sigmas[best] >= 5 and weighted[best] / weight[best] >= 1.2 and explained[best] > drift[best])


def early(cut, zero, rate):
    """Energy-time curve of the first 50 ms from 0.5 to 8 kHz, and the reflections that stand out of it."""
    part = cut[max(0, zero - int(0.005 * rate)) : zero + int(0.06 * rate)]
    zero = min(zero, int(0.005 * rate))
    size = fft.next_fast_len(2 * len(part))
    key = ("early", size, rate)
    if key not in MADE:
        hz = np.arange(size) * rate / size
        with np.errstate(divide="ignore"):
            outside = np.maximum(np.log2(500 / hz), np.log2(hz / min(8000, 0.4 * rate)))
        MADE[key] = np.where(outside >= 1 / 3, 0, 2 * np.cos(np.pi / 2 * 3 * np.clip(outside, 0, 1 / 3)))
        MADE[key][size // 2 + 1 :] = 0
    analytic = fft.ifft(fft.fft(part, size) * MADE[key])[: len(part)]
    envelope = (analytic.real**2 + analytic.imag**2) / 2
    direct = zero + int(np.argmax(envelope[zero : zero + int(0.005 * rate)]))
    block = round(0.000125 * rate)
    count = int(0.05 * rate) // block
    curve = np.maximum(-120, db(envelope[zero : zero + count * block].reshape(-1, block).mean(axis=1) / envelope[direct]))
    level = db(envelope[direct : direct + int(0.05 * rate) + 1] / envelope[direct])
    apart = int(0.001 * rate)
    peaks, _ = signal.find_peaks(level, height=-20, distance=apart, prominence=3)
    half = int(0.005 * rate)
    listed = [
        (peak / rate, 343 * peak / rate, level[peak])
        for peak in peaks[peaks >= apart]
        if level[peak] >= 10 + np.median(level[max(apart, peak - half) : peak + half + 1])
    ]
    return curve, listed


def direct_energy(cut, zero, rate):
    """Energy of the first 5 ms above 500 Hz, by a reversed filter, and its colour in four octaves."""
    margin = int(0.01 * rate)
    stop = zero + int(0.005 * rate)
    part = cut[max(0, zero - margin) : stop + margin]
    key = ("direct", rate)
    if key not in MADE:
        MADE[key] = signal.butter(3, 500, "highpass", fs=rate, output="sos")
    filtered = signal.sosfilt(MADE[key], part[::-1])[::-1]
    power = np.abs(fft.rfft(cut[zero:stop], 1024)) ** 2
    edges = np.round(1000 * 2.0 ** (np.arange(5) - 0.5) * 1024 / rate).astype(int)
    colour = np.add.reduceat(power[: edges[-1]], edges[:-1])
    return np.sum(filtered[: stop - max(0, zero - margin)] ** 2) / rate, db(colour / colour.sum())


def analyse(path, found, in_turn=False):
    """A take as it is analysed: faults, claps, and everything that is read off each of them in every band."""
    rate, raw, resolution = read_take(path)
    cuts, faults = examine(rate, raw, resolution)
    if not cuts:
        return {"faults": faults, "values": {}}
    direct = np.array([direct_energy(cut, zero, rate)[0] for cut, zero in cuts])
    rows = band_rows(cuts, rate)
    levels = decay_levels(rows)
    measured = (measure_in_turn if in_turn else measure)(rows, direct, found)
    if measured is None:
        return {"faults": faults, "values": {}}
    rows, values, range_db, given, curves = measured
    speech = [speech_index(rows, range_db, given, curves, clap) for clap in range(len(cuts))]
    reflections = [early(cut, zero, rate)[1] for cut, zero in cuts]
    claps = range(len(cuts))
    aside = [clap for clap in claps if len(cuts) > 1 and lifted(levels, clap, claps)]
    found["responses"] += len(cuts) - len(aside)
    found["reflections"] += sum(len(listed) for listed in reflections)
    found["speech_indices"] += sum(index is not None for index in speech)
    if aside:
        faults.add("events-too-close")
    return {"faults": faults, "values": values}


def read_take(path):
    rate, raw = wavfile.read(path)
    if raw.ndim > 1:
        raw = raw[:, 0]
    bits = 8 * raw.dtype.itemsize
    return rate, raw / 2.0 ** (bits - 1), 2.0 ** (1 - min(bits, 24))
