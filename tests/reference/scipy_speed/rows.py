"""All bands of all claps of a take side by side, a row each: filtered, summed up, cut where they meet the noise, integrated."""

import numpy as np
from scipy import fft, signal

from .common import BANDS, MADE, db


class Rows:
    """Squared band signals, summed up: of each row its rate, time zero, end, bandwidths."""

    def __init__(self, flat, **columns):
        self.flat = flat
        self.columns = columns
        self.__dict__.update(columns)

    def __getitem__(self, at):
        return Rows(self.flat, **{name: column[at] for name, column in self.columns.items()})

    def energy(self, time):
        """Energy before each time; `time` has a row for each row, or is one time for all."""
        position = np.clip(self.zero[:, None] + 0.5 + time * self.rate[:, None], self.low[:, None], self.high[:, None])
        index = position.astype(np.int64)
        share = position - index
        index += self.offset[:, None]
        before = self.flat[index]
        # One value stands behind the last of each row.
        return before + share * (self.flat[index + 1] - before)

    def mean(self, start, stop):
        pair = self.energy(np.stack([start, stop], axis=1))
        return np.where(stop > start, (pair[:, 1] - pair[:, 0]) / np.maximum(stop - start, 1e-12), 0)


def band_filters(rate, size):
    """Of each band the rate is divided by so much, its bins and the response there, reversed in time; bands of one rate together."""
    key = ("filters", rate, size)
    if key not in MADE:
        groups = {}
        for number, (_, low, high) in enumerate(BANDS):
            if high > 0.45 * rate:
                continue
            share = 2 ** int(np.clip(np.log2(rate / (4 * high)), 0, 6))
            groups.setdefault(share, []).append(number)
        MADE[key] = []
        for share, numbers in groups.items():
            bins = size // share // 2 + 1
            hz = 2j * np.pi * np.arange(bins) * rate / size
            designs = [
                signal.butter(3, 2 * np.pi * np.array(BANDS[i][1:]), "bandpass", analog=True) for i in numbers
            ]
            response = np.stack([np.conj(np.polyval(b, hz) / np.polyval(a, hz)) for b, a in designs])
            square = np.abs(response) ** 2
            statistical = square.sum(axis=1) ** 2 / (square**2).sum(axis=1) * rate / size
            # So that squares of the samples are energies.
            response *= np.sqrt(share / rate) / share
            MADE[key].append((share, np.array(numbers), response, statistical))
    return MADE[key]


def band_rows(cuts, rate):
    """The claps in every band: filtered in the frequency domain, which brings the lower rate of low bands with it."""
    narrowest = min(high - low for _, low, high in BANDS)
    zero = 64 * -(-max(int(2.5 / narrowest * rate), max(z for _, z in cuts)) // 64)
    longest = max(len(cut) - z for cut, z in cuts)
    size = 64 * fft.next_fast_len(-(-(zero + longest) // 64) + 1, real=True)
    padded = np.zeros((len(cuts), size))
    for row, (cut, z) in zip(padded, cuts):
        row[zero - z : zero - z + len(cut)] = cut
    spectra = fft.rfft(padded)
    flat, columns, offset = [], [], 0
    widths = np.array([high - low for _, low, high in BANDS])
    ends = np.array([len(cut) - z for cut, z in cuts]) / rate
    for share, numbers, response, statistical in band_filters(rate, size):
        filtered = fft.irfft(spectra[:, None, : response.shape[1]] * response, size // share)
        step = share / rate
        sums = np.empty((len(cuts), len(numbers), size // share + 2))
        sums[:, :, 0] = 0
        np.cumsum(np.square(filtered, out=filtered), axis=2, out=sums[:, :, 1:-1])
        sums[:, :, -1] = sums[:, :, -2]
        count, each = len(cuts) * len(numbers), size // share + 2
        usable = (ends[:, None] - 1.5 / widths[numbers]).ravel()
        whole = np.ones((len(cuts), 1))
        lead = np.minimum(zero // share, np.ceil(2.5 / widths[numbers] / step))
        columns.append(
            {
                "clap": np.repeat(np.arange(len(cuts)), len(numbers)),
                "band": np.tile(numbers, len(cuts)),
                "rate": np.full(count, 1 / step),
                "zero": np.full(count, zero / share),
                "low": (zero // share - whole * lead).ravel(),
                "high": np.full(count, each - 2.0),
                "offset": offset + each * np.arange(count),
                "end": np.floor(usable / step) * step,
                "width": (whole * widths[numbers]).ravel(),
                "statistical": (whole * statistical).ravel(),
            }
        )
        flat.append(sums.ravel())
        offset += count * each
    joined = {name: np.concatenate([column[name] for column in columns]) for name in columns[0]}
    order = np.lexsort((joined["band"], joined["clap"]))
    return Rows(np.concatenate(flat), **{name: column[order] for name, column in joined.items()})


def masked_lines(t, y, mask):
    """Least-squares line through the points of each row that the mask holds."""
    count = np.maximum(mask.sum(axis=1), 1)
    t, y = np.where(mask, t, 0), np.where(mask, y, 0)
    mean_t, mean_y = t.sum(axis=1) / count, y.sum(axis=1) / count
    xx = (t * t).sum(axis=1) - count * mean_t**2
    xy = (t * y).sum(axis=1) - count * mean_t * mean_y
    slope = xy / np.where(xx > 0, xx, np.inf)
    return slope, mean_y - slope * mean_t


def averaged(rows, step):
    count = np.floor(rows.end / step).astype(int)
    index = np.arange(count.max() + 1)
    levels = db(np.diff(rows.energy(step[:, None] * index)) / step[:, None])
    levels[index[:-1] >= count[:, None]] = -np.inf
    return step[:, None] * (index[:-1] + 0.5), levels, count


def slope_between(steps, top, bottom):
    """The line from the maximum (or the last level over `top`) down to the first level under `bottom`."""
    t, levels, count = steps
    index = np.arange(levels.shape[1])
    first = np.argmax(levels, axis=1)
    under = (levels <= bottom[:, None]) & (index >= first[:, None])
    stop = np.where(under.any(axis=1), np.argmax(under, axis=1), count)
    over = (levels > top[:, None]) & (index >= first[:, None]) & (index < stop[:, None])
    first = np.where(over.any(axis=1), levels.shape[1] - np.argmax(over[:, ::-1], axis=1), first)
    first = np.where(stop - first < 3, np.maximum(0, stop - 3), first)
    return masked_lines(t, levels, (index >= first[:, None]) & (index < stop[:, None]))


def truncations(rows):
    """Where each decay meets its noise, after Lundeby and others (1995): time, noise, late slope and level, whether it does."""
    end = rows.end
    noise = rows.mean(0.9 * end, end)
    slope, level = slope_between(averaged(rows, np.maximum(0.005, 1 / rows.width)), np.full(len(end), np.inf), db(noise) + 10)
    found = slope < 0
    slope = np.where(found, slope, -1.0)
    crossing = (db(noise) - level) / slope
    steps = averaged(rows, np.maximum(10 / -slope / 6, 0.5 / rows.width))
    late_from = 0.9 * end
    going = np.flatnonzero(found)
    for _ in range(8):
        if not len(going):
            break
        at, s = rows[going], slope[going]
        start = np.minimum(np.maximum(0, crossing[going]) + 10 / -s, 0.9 * end[going])
        noise[going], late_from[going] = at.mean(start, end[going]), start
        bottom = db(noise[going]) + 10
        new_slope, new_level = slope_between([part[going] for part in steps], bottom + 15, bottom)
        falls = new_slope < 0
        going, new_slope, new_level = going[falls], new_slope[falls], new_level[falls]
        slope[going], level[going] = new_slope, new_level
        new = (db(noise[going]) - new_level) / new_slope
        moving = np.abs(new - crossing[going]) >= 0.002 * new
        crossing[going] = new
        going = going[moving]
    rate = -slope * np.log(10) / 10
    left = 10 ** (level / 10) * (np.exp(-rate * late_from) - np.exp(-rate * end)) / (rate * (end - late_from))
    steady = noise - left
    met = (steady > 0.3 * noise) | (crossing < 0.8 * end)
    clear = np.maximum(steady, 0.3 * noise)
    crossing = np.where(met, (db(clear) - level) / slope, crossing)
    time = np.where(~met | (crossing >= end), end, np.maximum(0, crossing))
    return {
        "found": found & (time > 0),
        "time": time,
        "noise": np.where(met, clear, 0),
        "slope": slope,
        "level": level,
        "rate": rate,
        "met": met,
    }


def steady_ends(rows, cut):
    """The far half of the noise is dropped as long as it drifts away from the near half by more than chance."""
    end = rows.end.copy()
    start = cut["time"] + 10 / -cut["slope"]
    least = np.maximum(0.2 * cut["time"], 8 / rows.statistical)
    going = np.flatnonzero(cut["met"] & ((end - start) / 2 > least))
    while len(going):
        middle = (start[going] + end[going]) / 2
        at = rows[going]
        apart = db(at.mean(middle, end[going])) - db(at.mean(start[going], middle))
        chance = 10 / np.log(10) * np.sqrt(2 / (at.statistical * (middle - start[going])))
        drifts = np.abs(apart) > np.maximum(0.5, 3 * chance)
        going, middle = going[drifts], middle[drifts]
        end[going] = middle
        going = going[(end[going] - start[going]) / 2 > least[going]]
    return end


def schroeder(rows, cut, count):
    """Backward-integrated decays from time zero to the truncation, noise off and tail added; the whole energy of each."""
    step = cut["stop"] / count
    ends = np.stack([cut["stop"], np.full(len(step), -np.inf)], axis=1)
    until, begin = rows.energy(ends).T
    total = until + cut["missing"]
    time = step[:, None] * np.arange(count + 1)
    energy = total[:, None] - rows.energy(time) - cut["noise"][:, None] * (cut["stop"][:, None] - time)
    return step, energy, total - begin - cut["noise"] * cut["stop"]


def decay_lines(step, energy, whole, spans):
    """Decay time, level at zero and non-linearity over each span of levels; not a number where the curve does not reach it."""
    points = energy.shape[1]
    spent = np.where((energy <= 0).any(axis=1), np.argmax(energy <= 0, axis=1), points)
    level = db(energy / whole[:, None])
    level[np.arange(points) >= spent[:, None]] = -np.inf
    y = np.where(np.isfinite(level), level, 0)
    index = np.arange(points)
    sums = [np.cumsum(part, axis=1) for part in (y, y * y, y * index)]
    found = {}
    for name, top, bottom in spans:
        reference = level[:, :1] if name == "edt" else 0
        first = np.argmax(level <= top + reference, axis=1)
        under = level < bottom + reference
        stop = np.argmax(under, axis=1)
        n = stop - first
        good = under.any(axis=1) & (n >= 3) & (stop < spent)
        a, b = np.maximum(first - 1, 0)[:, None], np.maximum(stop - 1, 0)[:, None]
        sy, syy, sxy = (
            (np.take_along_axis(s, b, 1) - np.where(first[:, None] > 0, np.take_along_axis(s, a, 1), 0))[:, 0] for s in sums
        )
        n = np.maximum(n, 2)
        centre = first + (n - 1) / 2
        xx = n * (n * n - 1.0) / 12
        xy, yy = sxy - centre * sy, np.maximum(syy - sy * sy / n, 1e-12)
        slope = xy / xx / step
        good &= slope < 0
        time = np.where(good, -60 / np.where(good, slope, -1), np.nan)
        found[name] = time, sy / n - slope * centre * step, 1000 * (1 - xy**2 / (xx * yy))
    return found


SPANS = (("edt", 0, -10), ("t20", -5, -25), ("t30", -5, -35))
