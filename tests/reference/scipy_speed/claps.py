"""The claps of a take, found among other sudden sounds and cut out, and what is wrong with the take."""

import numpy as np
from scipy import fft, ndimage, signal

from .common import MADE, SILENCE_DB, first_true, sections

# A step of the level is a gate: within so many frames, paced by so many before, so many dB more than the pace, so many times it.
GATE_STEPS = ((15, 40, 8, 2.5), (30, 40, 9, 2), (50, 60, 10, 1.8))


class Levels:
    """Energy in frames of a millisecond, summed up, so that levels of any stretches are two look-ups away."""

    def __init__(self, samples, rate):
        self.frame = max(1, round(rate / 1000))
        self.frames = len(samples) // self.frame
        blocks = samples[: self.frames * self.frame].reshape(self.frames, self.frame)
        self.sums = np.concatenate([[0.0], np.cumsum(np.einsum("ij,ij->i", blocks, blocks))])

    def mean_db(self, start, stop):
        start, stop = np.maximum(0, start), np.minimum(self.frames, stop)
        energy = (self.sums[np.minimum(stop, self.frames)] - self.sums[np.minimum(start, self.frames)]) / (
            np.maximum(stop - start, 1) * self.frame
        )
        return np.where(stop > start, 10 * np.log10(np.maximum(energy, 1e-18)), SILENCE_DB)

    def running_db(self, start, stop, window):
        """Levels of windows that begin at each frame from `start` to before `stop`."""
        at = np.arange(start, max(start, stop))
        return self.mean_db(at, at + window)

    def quiet_db(self, window=50):
        at = np.arange(0, self.frames - window + 1, -(-window // 2))
        levels = self.mean_db(at, at + window)
        levels = np.sort(levels[levels > SILENCE_DB])
        return levels[int(0.1 * (len(levels) - 1))] if len(levels) else SILENCE_DB


def sudden_rises(high, floor_db):
    """Frames where the level rises by 20 dB over the last 30 ms within 5 ms, with the loudest frame after each."""
    levels = high.running_db(0, high.frames, 1)
    before = np.maximum(floor_db - 3, high.mean_db(np.arange(high.frames) - 30, np.arange(high.frames)))
    before[:2] = floor_db
    ahead = ndimage.maximum_filter1d(levels, 5, origin=-2, mode="constant", cval=SILENCE_DB)
    found, after = [], 0
    for frame in np.flatnonzero(ahead >= before + 20):
        if frame < after:
            continue
        start = frame + first_true(levels[frame : frame + 5] >= before[frame] + 10, 4)
        peak = start + int(np.argmax(levels[start : start + 8]))
        found.append((start, peak, levels[peak]))
        after = max(peak, start + 8) + 1
    return found


def follow(trace, start, floor_db, window, rise_db):
    """Frame at which the decay has come down to the noise (or None), and frame at which something else starts to sound."""
    levels = trace.running_db(start, trace.frames - window + 1, window)
    reached = np.flatnonzero(levels <= floor_db + 7)
    rise = levels - np.maximum(np.minimum.accumulate(levels), floor_db) if len(levels) else levels
    risen = np.flatnonzero(rise >= rise_db)
    end = trace.frames
    if len(risen):
        span = max(2, round(window / 8))
        within = trace.running_db(start + risen[0], start + risen[0] + window - span + 1, span)
        low = np.flatnonzero(within <= levels[risen[0]] - rise[risen[0]] / 2)
        end = start + risen[0] + (low[-1] + 1 if len(low) else 0)
        reached = reached[reached <= risen[0]]
    return (start + int(reached[0]) if len(reached) else None), int(end)


def sudden_fall(trace, start, stop, resolution_db):
    """The first step down of the level that no decay makes: (level under the peak, level, whether to silence), or None."""
    if stop - start < 80:
        return None
    peak_db = trace.running_db(start, min(start + 10, trace.frames), 1).max()
    levels = trace.running_db(start, stop + 1, 10)
    first = 50
    quiet = np.flatnonzero(levels[first : stop - start - 10] < resolution_db + 6)
    last = first + quiet[0] if len(quiet) else stop - start - 10
    steps = []
    for fall, before, excess_db, ratio in GATE_STEPS:
        at = np.arange(max(first, 10 + before), min(last, stop - start - 10 - fall + 1))
        fell = levels[at] - levels[at + fall]
        expected = np.maximum(0, levels[at - before] - levels[at]) * fall / before
        hits = (fell >= expected + excess_db) & (fell >= ratio * expected)
        steps.extend((i, fall, fell_db) for i, fell_db in zip(at[hits], fell[hits]))
    for at, fall, fell_db in sorted(steps):
        later = levels[at + fall : min(at + fall + 60, stop - start - 10) : 5]
        if len(later) and later.max() > levels[at] - 0.6 * fell_db:
            continue
        windows = np.stack([np.diff(trace.sums[start + i : start + i + 11]) for i in (at, at + fall)])
        steady = np.maximum(np.sort(windows, axis=1)[:, :8].sum(axis=1), 1e-18)
        if 10 * np.log10(steady[0] / steady[1]) >= 0.8 * fell_db:
            silent = levels[min(at + fall + 10, len(levels) - 1)] <= SILENCE_DB
            return levels[at] - peak_db, levels[at], silent
    return None


def rough_decay(high, peak, stop):
    start = np.arange(peak + 20, min(stop, high.frames) - 9, 5)
    level = high.mean_db(start, start + 10)
    if len(level) < 3:
        return None
    stop = first_true(level < level[0] - 30, len(level))
    if stop < 3 or level[0] - level.min() < 8:
        return None
    slope = np.polyfit(start[:stop] / 1000, level[:stop], 1)[0]
    return -60 / slope if slope < 0 else None


def halts(high, start, stop, floor_db):
    """Whether the fall stops well above the noise."""
    levels = high.running_db(start, stop + 20, 20)
    if len(levels) < 2:
        return False
    fallen = first_true(levels <= levels[0] - 12, stop - start)
    span = max(50, fallen)
    at = np.arange(fallen, stop - start - span - 19, 5)
    if not len(at):
        return False
    later = levels[at + span]
    count = first_true(later < floor_db + 12, len(at))
    return bool(np.any(levels[at[:count]] - later[:count] < 1.8))


def second_hit(high, start, peak):
    pair = high.running_db(0, min(start + 100, high.frames), 2)
    direct = max(pair[peak - 1], pair[peak])
    at = np.arange(max(start + 20, peak + 10), min(start + 80, high.frames))
    if not len(at):
        return None
    hit = (
        (pair[at] >= direct - 6)
        & (pair[at] >= high.mean_db(at - 9, at - 1) + 8)
        & (high.mean_db(at + 3, at + 21) - high.mean_db(at - 19, at - 1) >= 0.3)
    )
    return int(at[np.argmax(hit)]) if hit.any() else None


def judge(high, low, whole, floors, candidate, next_start):
    """One sudden rise: whether it is a clap, one that something spoiled, or another sound; where its decay ends."""
    start, peak, peak_db = candidate
    reached, high_end = follow(high, peak + 4, floors[0], 30, 8)
    low_reached, low_end = follow(low, peak + 20, floors[1], 80, 10)
    decay_s = rough_decay(high, peak, min(high_end, reached or high_end))
    gone_s = None if reached is None else (reached - peak) * 0.06 / (peak_db - floors[0])
    too_dry = (gone_s is not None and gone_s < 0.03) if decay_s is None else decay_s < 0.06
    early_db = high.mean_db(start + 5, start + 30)
    sustained = (
        start + 300 <= high.frames
        and next_start > start + 300
        and high.mean_db(start + 250, start + 300) >= early_db - 4
    )
    until = min(next_start - 3, start + 300, high.frames)
    at = np.arange(start + 60, until - 39, 10)
    swells = len(at) > 0 and high.mean_db(at, at + 40).max() > high.mean_db(start, start + 30) + 1
    stop = sudden_fall(high, start, min(next_start - 3, high.frames, start + 400), SILENCE_DB)
    crest_db = peak_db - high.mean_db(start + 8, start + 28)
    energies = [
        10 ** (trace.mean_db(start, peak + 20) / 10) - 10 ** (trace.mean_db(start - 30, start) / 10)
        for trace in (high, whole)
    ]
    bassy = energies[0] < 10**-1.3 * energies[1]
    other = (
        sustained
        or swells
        or (stop is not None and stop[0] > -12)
        or too_dry
        or crest_db < -3
        or peak_db - floors[0] < 30
        or bassy
    )
    end = min(high_end, low_end)
    spoiled = reached is None or (low_end < high_end and low_end < reached) or halts(high, peak + 10, reached, floors[0])
    verdict = "other" if other else "spoiled" if spoiled else "clap"
    return {
        "start": start,
        "peak": peak,
        "peak_db": peak_db,
        "reached": reached,
        "end": end,
        "decay_s": decay_s,
        "gone_s": gone_s,
        "second": second_hit(high, start, peak),
        "verdict": verdict,
    }


def like_siblings(events):
    """Without what is no clap, and what is too quiet, too short or too long beside the claps of the take."""
    delays = [e["second"] - e["start"] if e["second"] is not None else None for e in events]
    for i, event in enumerate(events):
        shared = any(j != i and d is not None and abs(d - (delays[i] or 0)) <= 1 for j, d in enumerate(delays))
        if event["verdict"] == "clap" and delays[i] is not None and not shared:
            event["verdict"] = "spoiled"
    claps = [e for e in events if e["verdict"] == "clap"]
    levels = sorted((e["peak_db"] for e in claps or events), reverse=True)
    loudest = levels[1 if len(levels) > 2 else 0] if levels else 0
    decays = [e["decay_s"] for e in claps if loudest - e["peak_db"] <= 18 and e["decay_s"]]
    usual = sorted(decays)[len(decays) // 2] if len(decays) >= 3 else None
    kept = []
    for event in events:
        below, decay = loudest - event["peak_db"], event["decay_s"]
        if event["verdict"] == "other" or below > (12 if event["verdict"] == "spoiled" else 18):
            continue
        if usual is not None and event["verdict"] == "clap":
            if (decay or event["gone_s"] or 0) < 0.4 * usual:
                continue
            if decay is not None and decay >= 1.8 * usual:
                event["verdict"] = "spoiled"
        kept.append(event)
    return kept


def time_zero(samples, rate, start, stop):
    """First sample within 20 dB of the direct sound, rumble taken away (ISO 3382-1)."""
    begin = max(0, start - int(0.03 * rate))
    part = np.abs(signal.sosfilt(sections("highpass", 150, rate), samples[begin : stop + int(0.0025 * rate)]))
    start, stop = start - begin, stop - begin
    noise = part[max(0, start - int(0.02 * rate)) : max(0, start - int(0.001 * rate))].max(initial=0)
    level = max(part[start:stop].max() / 10, 1.3 * noise)
    first = start + first_true(part[start:stop] >= level, stop - start - 1)
    direct = max(part[first : first + int(0.0025 * rate)].max() / 10, 1.3 * noise)
    return begin + start + first_true(part[start : first + 1] >= direct, first - start)


def clipped_runs(raw):
    """Runs of samples on the highest or lowest value, with steep flanks, oftener than chance has it."""
    runs = []
    for ceiling in (raw.max(), raw.min()):
        size = abs(ceiling)
        if size < 0.03:
            continue
        at = np.flatnonzero(raw * np.sign(ceiling) >= size * (1 - 6e-5))
        starts = at[np.flatnonzero(np.diff(at, prepend=-2) > 1)]
        stops = at[np.flatnonzero(np.diff(at, append=len(raw) + 1) > 1)] + 1
        before = np.where(starts > 0, size - np.abs(raw[starts - 1]), 0)
        after = np.where(stops < len(raw), size - np.abs(raw[np.minimum(stops, len(raw) - 1)]), 0)
        steep = np.minimum(before, after) / size
        keep = steep >= (6e-4 if abs(size - 1) < 1e-4 else 0.01)
        lengths = (stops - starts)[keep]
        pair = np.any((lengths == 2) & (steep[keep] >= 0.05))
        if len(lengths) and (lengths.max() >= 3 or pair or (lengths.sum() >= 3 and lengths.max() >= 2)):
            runs.extend(zip(starts[keep], stops[keep]))
    return runs


def dropouts(raw, rate, resolution):
    """Stretches that stand still while the samples beside them move."""
    edges = np.concatenate([[0], np.flatnonzero(raw[1:] != raw[:-1]) + 1, [len(raw)]])
    lengths, context = np.diff(edges), int(0.004 * rate)
    found = []
    for i in np.flatnonzero((lengths >= max(12, round(0.0004 * rate))) & (lengths <= 0.25 * rate)):
        start, stop = edges[i], edges[i + 1]
        if start < context or stop + context > len(raw):
            continue
        steps = [np.abs(np.diff(part)).mean() for part in (raw[start - context : start], raw[stop : stop + context])]
        if min(steps) > max(3 * resolution, 1e-9) and max(steps) < 6 * min(steps):
            found.append((start, stop))
    return found


def band_means_db(power, step_hz, low_hz, high_hz):
    """Mean power of the bins between frequencies, for arrays of them."""
    first = np.maximum(1, np.ceil(low_hz / step_hz)).astype(int)
    last = np.minimum(len(power) - 1, np.floor(high_hz / step_hz)).astype(int)
    sums = np.concatenate([[0.0], np.cumsum(power)])
    return 10 * np.log10(np.maximum((sums[last + 1] - sums[first]) / np.maximum(last - first + 1, 1), 1e-300))


def cliff_db(samples, rate, hop):
    window = signal.get_window("hann", 4096)
    stretches = np.lib.stride_tricks.sliding_window_view(samples, 4096)[::hop]
    power = (np.abs(fft.rfft(stretches * window)) ** 2).mean(axis=0)
    edge, step = np.arange(3500, 0.455 * rate - 600 + 1, 100), rate / 4096
    below = band_means_db(power, step, edge - 600, edge - 150)
    above = band_means_db(power, step, edge + 150, edge + 600)
    rest = band_means_db(power, step, edge + 150, np.full(len(edge), 0.455 * rate))
    return (below - np.maximum(above, rest)).max(initial=0)


def lossy(samples, rate):
    """A spectrum that ends in a cliff: a quarter of the sound tells that there is none."""
    return cliff_db(samples, rate, 16384) >= 10 and cliff_db(samples, rate, 8192) >= 18


def hum(stretches, rate):
    """Three harmonics of 50 or 60 Hz that stand 14 dB clear and lift an octave by 3 dB."""
    factor = 2 ** int(np.log2(rate / 2400))
    low, left = [], int(5 * rate)
    for part in sorted(stretches, key=len, reverse=True):
        if left > 0 and len(part) > 0.8 * rate:
            low.append(signal.resample_poly(part[:left], 1, factor))
        left -= len(part)
    if not low:
        return False
    rate /= factor
    size = 2 ** int(np.log2(0.75 * rate))
    spectra = [signal.welch(part, rate, nperseg=size, detrend=False)[1] for part in low if len(part) >= size]
    if not spectra:
        return False
    power, step = np.mean(spectra, axis=0), rate / size
    for mains in (50, 60):
        lines = mains * np.arange(1, 11)
        at = band_means_db(power, step, lines - 3.2, lines + 3.2)
        below = band_means_db(power, step, lines - 14, lines - 3.2 - step)
        above = band_means_db(power, step, lines + 3.2 + step, lines + 14)
        beside = 10 * np.log10((10 ** (below / 10) + 10 ** (above / 10)) / 2)
        clear = at - beside >= 14
        if clear.sum() < 3:
            continue
        for centre in (63, 125, 250):
            low_hz, high_hz = centre / np.sqrt(2), centre * np.sqrt(2)
            whole = (high_hz - low_hz) / step * 10 ** (band_means_db(power, step, low_hz, high_hz) / 10)
            own = clear & (lines > low_hz) & (lines < high_hz)
            added = np.sum((10 ** (at[own] / 10) - 10 ** (beside[own] / 10)) * 6.4 / step)
            if 10 * np.log10(whole / max(whole - added, whole * 1e-6)) >= 3:
                return True
    return False


def gain_drift(trace, quiet):
    """Noise that climbs steadily after most of the claps."""
    climbs = []
    for start, stop in quiet:
        at = np.arange(start, min(stop, start + 1500) - 49, 50)
        levels = trace.mean_db(at, at + 50)
        levels = levels[: first_true(np.diff(levels) > 5, len(levels) - 1) + 1]
        if len(levels) < 6:
            continue
        climb = levels[np.argmin(levels[: -(-len(levels) // 2)]) :]
        if len(climb) < 3:
            continue
        third = -(-len(climb) // 3)
        rise = climb[-third:].mean() - climb[:2].mean()
        bulge = (climb[third:-third].mean() - (climb[:third].mean() + climb[-third:].mean()) / 2) / rise
        climbs.append((rise, np.corrcoef(np.arange(len(climb)), climb)[0, 1], bulge))
    if not climbs:
        return False
    rise, together, bulge = np.array(climbs).T
    if len(climbs) == 1:
        return bool(rise[0] >= 5 and together[0] >= 0.9)
    shared = np.sum((rise >= 2.5) & (together >= 0.75))
    slight = np.sum((rise >= 1) & (together >= 0.8) & (bulge >= 0))
    return bool((shared >= 2 and shared >= 0.6 * len(climbs)) or (slight >= 3 and slight >= 0.75 * len(climbs)))


def bass_missing(cuts, rate):
    """Whether the octave of 250 or 125 Hz stands less than 32 dB over the noise in the middle clap."""
    frame = rate // 1000
    for low_hz, high_hz in ((180, 350), (90, 180)):
        key = ("bass", low_hz, rate)
        if key not in MADE:
            pair = [sections("highpass", low_hz, rate), sections("lowpass", high_hz, rate)]
            MADE[key] = np.concatenate(pair + pair)
        ranges = []
        for cut, zero in cuts:
            frames, start = len(cut) // frame, zero // frame
            spans = [(max(start + 60, frames - 300), frames), (start, min(frames, start + 60))]
            levels = []
            for first, last in spans:
                run_in = max(0, first - 60)
                part = signal.sosfilt(MADE[key], cut[run_in * frame : last * frame])[(first - run_in) * frame :]
                levels.append(10 * np.log10(np.mean(part**2) + 1e-18))
            ranges.append(levels[1] - levels[0])
        if sorted(ranges)[len(ranges) // 2] < 32:
            return True
    return False


def examine(rate, raw, resolution):
    """The claps of a take, each with its index of time zero, and the names of the take's faults."""
    offset = raw.mean()
    samples = raw - offset
    above = signal.sosfilt(sections("highpass", 60, rate), samples)
    high = Levels(signal.sosfilt(sections("highpass", 800, rate), samples), rate)
    low = Levels(signal.sosfilt(sections("lowpass", 400, rate), above), rate)
    whole = Levels(above, rate)
    floors = high.quiet_db(), low.quiet_db(100)
    rises = sudden_rises(high, floors[0])
    starts = [start for start, _, _ in rises] + [high.frames + 10**6]
    events = [judge(high, low, whole, floors, rise, starts[i + 1]) for i, rise in enumerate(rises)]
    kept = like_siblings(events)
    faults = set()
    # In a take of claps hardly anything else is about as loud: else it is speech, noise or a sweep, which these takes are not.
    at = np.arange(0, high.frames - 9, 10)
    between = high.mean_db(at, at + 10)
    for event in kept:
        between[(at + 10 > event["start"]) & (at < (event["reached"] or high.frames))] = SILENCE_DB
    peaks = [event["peak_db"] for event in kept]
    if not kept or np.sum(between > max(peaks) - 12) > 30:
        return [], {"no-event" if raw.any() else "silent"}
    runs, lost = clipped_runs(raw), dropouts(raw, rate, resolution)
    following = [min(min((s for s in starts if s > e["start"])), high.frames) for e in kept]
    resolution_db = 20 * np.log10(resolution) if resolution else SILENCE_DB
    gates = [sudden_fall(high, e["start"], n - 3, resolution_db) for e, n in zip(kept, following)]
    cut_levels = [g[1] for g in gates if g is not None and g[0] <= -12]
    if cut_levels:
        alike = np.abs(np.array(cut_levels) - np.median(cut_levels)) <= 8
        silent = any(g is not None and g[2] for g in gates)
        if alike.sum() >= (0.5 if silent else 0.6) * len(gates):
            faults.add("noise-gate")
    cuts, previous = [], 0
    for event in kept:
        start = max(0, (event["start"] - 2) * high.frame)
        zero = time_zero(samples, rate, start, (event["peak"] + 2) * high.frame)
        begin = max(previous, zero - int(0.02 * rate))
        previous = (event["peak"] + 1) * high.frame
        decayed = (event["reached"] or event["end"]) * high.frame - zero
        end = int(min(len(samples), zero + max(2 * rate, 4 * decayed), event["end"] * high.frame))
        span = zero - int(0.002 * rate), end
        spoiled = any(a < span[1] and b > span[0] for a, b in runs + lost)
        if event["verdict"] == "spoiled":
            faults.add("too-short" if event["end"] == high.frames else "events-too-close")
        if event["verdict"] == "clap" and zero > 0 and not spoiled:
            cuts.append((samples[begin:end], zero - begin))
    if runs:
        faults.add("clipped")
    if lost:
        faults.add("dropout")
    if lossy(samples, rate):
        faults.add("lossy-coding")
    if abs(offset) >= 0.005:
        faults.add("dc-offset")
    quiet = [(e["reached"], n - 3) for e, n in zip(kept, following) if e["reached"] is not None]
    if gain_drift(high, quiet):
        faults.add("automatic-gain")
    if hum([samples[(a + 300) * high.frame : b * high.frame] for a, b in quiet], rate):
        faults.add("mains-hum")
    ranges = sorted(high.mean_db(e["start"] + 10, e["start"] + 30) - floors[0] for e in kept)
    if ranges[len(ranges) // 2] < 35:
        faults.add("low-range")
    if cuts and bass_missing(cuts, rate):
        faults.add("no-bass")
    return cuts, faults
