"""The decay of each row by maximum likelihood over its full range, and a second slope sought and tested."""

import numpy as np

from .common import LN_MILLION, db
from .rows import SPANS, decay_lines, schroeder


class Cells:
    """Mean powers in cells of time, padded to one length: `valid` says which there are."""

    def __init__(self, edges, power, valid):
        self.edges, self.power, self.valid = edges, power, valid
        self.time, self.width = (edges[:, 1:] + edges[:, :-1]) / 2, np.diff(edges)

    def __getitem__(self, at):
        return Cells(self.edges[at], self.power[at], self.valid[at])

    def where(self, mask):
        return Cells(self.edges, self.power, self.valid & mask)


def cut_cells(rows, start, crossing, decay_s, growing=False):
    """As wide as the decay falls by 1 dB or 1/bandwidth; the noise in 16 wide ones, or in growing ones."""
    crossing = np.minimum(np.maximum(crossing, start), rows.end)
    least = np.maximum(1 / rows.width, decay_s / 60)
    decaying = np.maximum(1, np.round((crossing - start) / least))
    widths = (rows.end - crossing) / least
    if growing:
        quiet = np.maximum(1, np.floor(np.log1p(widths * 0.15) / np.log(1.15)))
    else:
        quiet = np.clip(np.floor(widths), 1, 16)
    quiet = np.where(widths > 1, quiet, 0)
    index = np.arange(int((decaying + quiet).max()) + 1)
    past = np.maximum(index - decaying[:, None], 0)
    most = np.maximum(quiet, 1)[:, None]
    share = (1.15 ** np.minimum(past, most) - 1) / (1.15**most - 1) if growing else past / most
    within = np.minimum(index / decaying[:, None], 1)
    edges = start[:, None] + (crossing - start)[:, None] * within
    edges += (rows.end - crossing)[:, None] * np.minimum(share, 1) * (quiet > 0)[:, None]
    width = np.diff(edges)
    valid = index[:-1] < (decaying + quiet)[:, None]
    power = np.diff(rows.energy(edges)) / np.where(width > 0, width, 1)
    return Cells(edges, power, valid)


def mean_and_slopes(edges, per_width, theta, slopes, noisy):
    """Mean power of each cell, and its derivatives by the logarithms of amplitude and rate of each slope, and of the noise."""
    parts = np.empty((len(theta), 2 * slopes + noisy, edges.shape[1] - 1))
    for j in range(slopes):
        rate = np.exp(theta[:, 2 * j + 1, None])
        at_edges = np.exp(theta[:, 2 * j, None] - rate * edges)
        part = (at_edges[:, :-1] - at_edges[:, 1:]) * per_width / rate
        at_edges *= edges
        parts[:, 2 * j] = part
        parts[:, 2 * j + 1] = (at_edges[:, 1:] - at_edges[:, :-1]) * per_width - part
    mean = parts[:, 0] + parts[:, 2] if slopes == 2 else parts[:, 0].copy()
    if noisy:
        parts[:, -1] = np.exp(theta[:, -1:])
        mean += parts[:, -1]
    return mean, parts


ROUNDS = 25
HALVINGS = 6


def fit(cells, theta, bandwidth, noisy):
    """
    Maximum likelihood of gamma distributed cell energies by Fisher scoring with halved steps, of all rows at once.
    Returns parameters, log-likelihood, covariance and whether the steps settled.
    """
    count, size = theta.shape
    slopes = size // 2
    out = theta.copy()
    likelihood = np.full(count, -np.inf)
    covariance = np.zeros((count, size, size))
    settled = np.zeros(count, bool)
    per_width = 1 / np.where(cells.width > 0, cells.width, np.inf)
    # What is known of the cells, and thinned as rows settle.
    data = [
        cells.edges,
        per_width,
        np.where(cells.valid, cells.width * bandwidth[:, None], 0),
        np.where(cells.valid, cells.power, 1),
    ]

    def at(data, theta):
        edges, per_width, shape, power = data
        mean, parts = mean_and_slopes(edges, per_width, theta, slopes, noisy)
        np.maximum(mean, 1e-150, out=mean)
        value = -np.einsum("ij,ij->i", shape, np.log(mean) + power / mean)
        return np.where(np.isfinite(value), value, -np.inf), mean, parts

    going = np.arange(count)
    now, mean, parts = at(data, theta)
    for turn in range(ROUNDS):
        weight = data[2] / mean / mean
        weighted = parts * weight[:, None]
        score = (weighted @ (data[3] - mean)[:, :, None])[:, :, 0]
        information = weighted @ parts.transpose(0, 2, 1)
        np.einsum("ijj->ij", information)[:] *= 1 + 1e-12
        np.einsum("ijj->ij", information)[:] += 1e-30
        inverted = np.linalg.inv(information)
        step = (inverted @ score[:, :, None])[:, :, 0]
        gain = (step * score).sum(axis=1)
        likelihood[going], covariance[going], out[going] = now, inverted, theta
        settled[going] = np.isfinite(gain) & (gain < 1e-3)
        live = np.isfinite(gain) & (gain >= 1e-6)
        if not live.any() or turn == ROUNDS - 1:
            break
        if not live.all():
            going, theta, step, now = going[live], theta[live], step[live], now[live]
            data = [part[live] for part in data]
        share = np.minimum(1 if turn < 12 else 0.5, 2 / np.maximum(np.abs(step).max(axis=1), 1e-9))
        new = theta + share[:, None] * step
        new_now, mean, parts = at(data, new)
        worse = np.flatnonzero(~(new_now >= now))
        for _ in range(HALVINGS):
            if not len(worse):
                break
            share[worse] /= 2
            new[worse] = theta[worse] + share[worse, None] * step[worse]
            new_now[worse], mean[worse], parts[worse] = at([part[worse] for part in data], new[worse])
            worse = worse[~(new_now[worse] >= now[worse])]
        theta, now = new, new_now
        if len(worse):
            keep = np.ones(len(going), bool)
            keep[worse] = False
            if not keep.any():
                break
            going, theta, now, mean, parts = going[keep], theta[keep], now[keep], mean[keep], parts[keep]
            data = [part[keep] for part in data]
    return out, likelihood, covariance, settled


def fit_noise_or_not(cells, theta, bandwidth):
    """
    With noise, or without where the likelihood settles on none. The last parameter is the logarithm of the noise, minus
    infinity where there is none.
    """
    count, size = theta.shape
    out, covariance = theta.copy(), np.zeros((count, size, size))
    likelihood, settled = np.full(count, -np.inf), np.zeros(count, bool)
    noisy = np.flatnonzero(np.isfinite(theta[:, -1]))
    if len(noisy):
        out[noisy], likelihood[noisy], covariance[noisy], settled[noisy] = fit(cells[noisy], theta[noisy], bandwidth[noisy], True)
    bare = np.flatnonzero(~settled)
    if len(bare):
        found = fit(cells[bare], theta[bare, :-1], bandwidth[bare], False)
        out[bare, :-1], likelihood[bare], covariance[bare, :-1, :-1], settled[bare] = found
        out[bare, -1], covariance[bare, -1], covariance[bare, :, -1] = -np.inf, 0, 0
    likelihood[~settled] = -np.inf
    return out, likelihood, covariance, settled


def power_at(theta, time, slopes):
    return sum(np.exp(theta[:, 2 * j] - np.exp(theta[:, 2 * j + 1]) * time) for j in range(slopes))


def energy_after(theta, time, slopes):
    return sum(
        np.exp(theta[:, 2 * j] - theta[:, 2 * j + 1] - np.exp(theta[:, 2 * j + 1]) * time) for j in range(slopes)
    )


def time_at_noise(theta, end, slopes):
    """When the decay has come down to its noise; the end where there is none."""
    with np.errstate(invalid="ignore"):
        if slopes == 1:
            time = (theta[:, 0] - theta[:, -1]) / np.exp(theta[:, 1])
        else:
            # The logarithm of the power bends one way only: Newton's steps from the left never pass the crossing.
            time = np.zeros(len(theta))
            for _ in range(30):
                power = np.maximum(power_at(theta, time, 2), 1e-300)
                fall = sum(np.exp(theta[:, j] + theta[:, j + 1] - np.exp(theta[:, j + 1]) * time) for j in (0, 2))
                step = (np.log(power) - theta[:, -1]) * power / fall
                time = time + step
                if np.nanmax(np.where(np.isfinite(step), np.abs(step), 0)) < 1e-6:
                    break
    return np.where(np.isfinite(theta[:, -1]), np.clip(time, 0, end), end)


def one_slopes(rows, rough_s, crossing, noise):
    """The one-slope fit of each row, its cells cut anew where it moves them; from three starts in turn."""
    count = len(rough_s)
    theta, covariance = np.zeros((count, 3)), np.zeros((count, 3, 3))
    likelihood, found = np.full(count, -np.inf), np.zeros(count, bool)
    time, met = rough_s.copy(), crossing.copy()
    start_of, cells_of = np.zeros(count), None
    going = np.arange(count)
    for turn in range(3):
        at = rows[going]
        start = np.maximum(0.005, np.minimum(0.02, 0.1 * time[going]))
        cells = cut_cells(at, start, met[going], time[going])
        usable = (cells.valid.sum(axis=1) >= 5) & np.all((cells.power > 0) | ~cells.valid, axis=1)
        cells, going, start, at = cells[usable], going[usable], start[usable], at[usable]
        if not len(going):
            break
        fitted = np.zeros(len(going), bool)
        best = [np.zeros((len(going), 3)), np.full(len(going), -np.inf), np.zeros((len(going), 3, 3))]
        for share in (1, 0.5, 0.25) if turn == 0 else (1,):
            left = np.flatnonzero(~fitted | ~np.isfinite(best[0][:, -1]))
            if not len(left):
                break
            if turn == 0:
                rate = LN_MILLION / (share * time[going[left]])
                until = start[left] + share * time[going[left]] / 6
                fall = (np.exp(-rate * start[left]) - np.exp(-rate * until)) / (rate * (until - start[left]))
                amplitude = np.maximum(at[left].mean(start[left], until), 1e-300) / fall
                begin = np.log(np.stack([amplitude, rate, np.maximum(noise[going[left]], 1e-300)], axis=1))
            else:
                begin = theta[going[left]]
            new, value, cov, good = fit_noise_or_not(cells[left], begin, at.statistical[left])
            better = good & (value >= best[1][left])
            chosen = left[better]
            best[0][chosen], best[1][chosen], best[2][chosen] = new[better], value[better], cov[better]
            fitted[chosen] = True
        new_time = LN_MILLION / np.exp(best[0][:, 1])
        good = fitted & (60 * start / new_time <= 12)
        chosen = going[good]
        before = time[chosen], met[chosen]
        theta[chosen], likelihood[chosen], covariance[chosen] = best[0][good], best[1][good], best[2][good]
        found[chosen], time[chosen] = True, new_time[good]
        start_of[chosen] = start[good]
        met[chosen] = time_at_noise(theta[chosen], rows.end[chosen], 1)
        cells_of = put_cells(cells_of, cells[good], chosen, count)
        moved = np.maximum(np.abs(np.log(time[chosen] / before[0])), np.abs(np.log(np.maximum(met[chosen], 1e-9) / before[1])))
        going = chosen[moved >= 0.1]
        if not len(going):
            break
    return theta, likelihood, covariance, found, time, met, start_of, cells_of


def put_cells(into, cells, at, count):
    """The cells of some rows in place of those held, padded where they are more."""
    size = max(0 if into is None else into.power.shape[1], cells.power.shape[1])
    out = []
    for name, more in (("edges", 1), ("power", 0), ("valid", 0)):
        new = getattr(cells, name)
        whole = np.zeros((count, size + more), new.dtype)
        if into is not None:
            old = getattr(into, name)
            whole[:, : old.shape[1]] = old
            whole[:, old.shape[1] :] = old[:, -1:] if more else 0
        whole[at, : new.shape[1]] = new
        whole[at, new.shape[1] :] = new[:, -1:] if more else 0
        out.append(whole)
    return Cells(*out)


def score_of_added(cells, theta, covariance, bandwidth, added):
    """Rao's score test of more terms: score, own information and what of it is not taken up, for terms (rows, terms, cells)."""
    rate = np.exp(theta[:, 1])[:, None]
    power = np.exp(theta[:, :1] - rate * cells.time)
    noise = np.exp(theta[:, -1:])
    mean = np.maximum(power + noise, 1e-300)
    weight = np.where(cells.valid, bandwidth[:, None] * cells.width / mean**2, 0)
    parts = np.stack([power, -power * rate * cells.time, np.broadcast_to(noise, power.shape)], axis=1)
    weighted = added * weight[:, None]
    score = (weighted @ (cells.power - mean)[:, :, None])[:, :, 0]
    own = (weighted * added).sum(axis=2)
    cross = weighted @ parts.transpose(0, 2, 1)
    return score, own, own - np.einsum("ita,iab,itb->it", cross, covariance, cross)


def two_slopes(cells, theta, likelihood, covariance, bandwidth):
    """Two slopes, the faster first, from the two second slopes that score best."""
    count = len(theta)
    best, value = np.zeros((count, 5)), np.full(count, -np.inf)
    rates = np.exp(theta[:, 1:2]) * np.array([0.25, 0.5, 0.75, 1.5, 3])
    score, own, left = score_of_added(cells, theta, covariance, bandwidth, np.exp(-rates[:, :, None] * cells.time[:, None]))
    promises = (score > 0) & (left > 1e-9 * own)
    statistic = np.where(promises, score**2 / np.where(promises, left, 1), 0)
    order = np.argsort(-statistic, axis=1)
    hopeful = statistic.max(axis=1) > 4
    starts = []
    for rank in range(2):
        which = order[:, rank, None]
        at = np.flatnonzero(np.take_along_axis(statistic, which, 1)[:, 0] > 4)
        amplitude = np.take_along_axis(score / np.where(promises, left, 1), which, 1)[:, 0]
        rate = np.take_along_axis(rates, which, 1)[:, 0]
        begin = np.column_stack([theta[at, :2], np.log(amplitude[at]), np.log(rate[at]), theta[at, -1]])
        starts.append((at, begin))
    for at, begin in starts:
        if not len(at):
            continue
        new, new_value, _, good = fit_noise_or_not(cells[at], begin, bandwidth[at])
        better = good & (new_value > value[at])
        best[at[better]], value[at[better]] = new[better], new_value[better]
    swap = best[:, 1] < best[:, 3]
    best[swap] = best[swap][:, [2, 3, 0, 1, 4]]
    return best, value, hopeful


def dispersion_about(cells, mean, bandwidth, until, slopes):
    """Scatter of groups of cells about the model, as a multiple of a diffuse decay's where it is more than chance."""
    inside = cells.valid & (cells.time < until[:, None])
    shape = np.where(inside, bandwidth[:, None] * cells.width, 0)
    summed = np.cumsum(shape, axis=1)
    per_group = np.maximum(4, summed[:, -1] / 24)
    residual = np.cumsum(shape * (np.where(inside, cells.power, 1) / np.where(inside, mean, 1) - 1), axis=1)
    # A group ends with the cell that passes the next multiple of its least shape.
    group = np.floor(summed / per_group[:, None] * (1 + 1e-9))
    ends = inside & (np.diff(group, axis=1, prepend=0) > 0)
    row, column = np.nonzero(ends)
    sums = [np.diff(part[row, column], prepend=0) for part in (residual, summed)]
    first = np.diff(row, prepend=-1) > 0
    for part, values in zip(sums, (residual, summed)):
        part[first] = values[row, column][first]
    squares = np.bincount(row, sums[0] ** 2 / np.maximum(sums[1], 1e-12), minlength=len(cells.time))
    groups = np.bincount(row, minlength=len(cells.time))
    free = groups - 2 * slopes
    ratio = squares / np.maximum(free, 1)
    return np.where((free > 0) & (ratio > 1 + 2 * np.sqrt(2 / np.maximum(groups, 1))), ratio, 1)


def departures(time, two, range_db):
    """By how much T20 (and T30 where the range allows) of the two slopes alone differ from the one-slope time."""
    step = time / 200
    t = step[:, None] * np.arange(700)
    with np.errstate(over="ignore"):
        energy = sum(np.exp(two[:, j, None] - two[:, j + 1, None] - np.exp(two[:, j + 1, None]) * t) for j in (0, 2))
    lines = decay_lines(step, np.maximum(energy, 1e-290), energy[:, 0], SPANS[1:])
    apart = np.abs(time / lines["t20"][0] - 1)
    deeper = np.where(range_db >= 45, np.abs(time / lines["t30"][0] - 1), 0)
    return np.fmax(np.nan_to_num(apart), np.nan_to_num(deeper))


def full_range(rows, rough_s, crossing, noise):
    """The full-range decay time of each row with its standard error, model, verdict and second slope."""
    count = len(rough_s)
    theta, likelihood, covariance, found, time, met, start, cells = one_slopes(rows, rough_s, crossing, noise)
    found &= covariance[:, 1, 1] < 0.35**2
    result = {
        "found": found.copy(),
        "time": time,
        "model": np.column_stack([theta[:, :2], np.full((count, 1), -np.inf), np.zeros((count, 1)), theta[:, -1]]),
        "two": np.zeros(count, bool),
        "verdict": np.zeros(count, int),
        "tested": np.zeros(count, bool),
    }
    result["error"] = time * np.sqrt(np.abs(covariance[:, 1, 1]))
    result["range"] = db(np.exp(theta[:, 0])) - db(np.maximum(np.exp(theta[:, 2]), power_at(theta, rows.end, 1)))
    at = np.flatnonzero(found)
    if not len(at):
        return result
    rows, cells, theta, likelihood, covariance = rows[at], cells[at], theta[at], likelihood[at], covariance[at]
    time, met, start, bandwidth = time[at], met[at], start[at], rows.statistical
    sought, sought_theta, sought_value, sought_cov = cells, theta.copy(), likelihood.copy(), covariance.copy()
    last = cells.width[np.arange(len(at)), cells.valid.sum(axis=1) - 1]
    wide = np.flatnonzero(last >= 0.1 * (met - start))
    if len(wide):
        grown = cut_cells(rows[wide], start[wide], met[wide], time[wide], growing=True)
        new, value, cov, good = fit_noise_or_not(grown, theta[wide], bandwidth[wide])
        sought = put_cells(sought, grown[good], wide[good], len(at))
        sought_theta[wide[good]], sought_value[wide[good]], sought_cov[wide[good]] = new[good], value[good], cov[good]
    two, two_value, hopeful = two_slopes(sought, sought_theta, sought_value, sought_cov, bandwidth)
    better = two_value > sought_value
    result["tested"][at] = True
    one5 = np.column_stack([theta[:, :2], np.full((len(at), 1), -700.0), np.zeros((len(at), 1)), theta[:, -1]])
    model = np.where(better[:, None], two, one5)
    mean = np.exp(model[:, -1:]) + power_at(model[:, :, None], cells.time, 2)
    scatter = dispersion_about(cells, mean, bandwidth, met, np.where(better, 2, 1))
    gain = 2 * (two_value - sought_value) / scatter
    centre = met / 2
    bow = -(((cells.time - centre[:, None]) / centre[:, None]) ** 2) * np.exp(theta[:, :1] - np.exp(theta[:, 1:2]) * cells.time)
    score, own, left = (part[:, 0] for part in score_of_added(cells, theta, covariance, bandwidth, bow[:, None]))
    tells = left > 1e-9 * own
    safe = np.where(tells, left, 1)
    bends = tells & (score**2 / safe > 9.21) & (score / safe / centre / np.exp(theta[:, 1]) > 0.05)
    misfit = bends | (scatter > 8)
    result["error"][at] = time * np.sqrt(scatter * covariance[:, 1, 1])
    result["verdict"][at[misfit]] = 2
    passed = np.flatnonzero(~misfit & better & (gain >= 6.5))
    if len(passed):
        i, model2, end = at[passed], two[passed], rows.end[passed]
        late = LN_MILLION / np.exp(model2[:, 3])
        knee = (model2[:, 0] - model2[:, 2]) / (np.exp(model2[:, 1]) - np.exp(model2[:, 3]))
        held = 60 * (time_at_noise(model2, end, 2) - np.maximum(0, knee)) / late >= 3
        range_db = db(power_at(model2, 0, 2)) - db(np.maximum(np.exp(model2[:, -1]), power_at(model2, end, 2)))
        apart = departures(time[passed], model2, range_db)
        small = apart <= 0.05
        result["error"][i[small]] = np.hypot(result["error"][i[small]], apart[small] * time[passed][small] / np.sqrt(3))
        taken = held | (~small & ~(~np.isfinite(model2[:, -1]) & np.isfinite(theta[passed, -1])))
        result["model"][i[taken]], result["range"][i[taken]] = model2[taken], range_db[taken]
        result["two"][i[held]] = True
        depth = db(power_at(model2, 0, 2)) - db(power_at(model2, knee, 2))
        result["verdict"][i[~small & held]] = 1
        result["verdict"][i[~small & ~held & taken]] = 2
        deep = np.flatnonzero(~small & (depth >= 45))
        if len(deep):
            above = passed[deep]
            until = knee[deep] - 5 / 60 * LN_MILLION / np.exp(model2[deep, 1])
            part = cells[above].where((cells.time + cells.width / 2)[above] < until[:, None])
            enough = part.valid.sum(axis=1) >= 5
            above, part = above[enough], part[enough]
            if len(above):
                new, _, cov, good = fit(part, theta[above, :2], bandwidth[above], False)
                above, new, cov = above[good], new[good], cov[good]
                result["time"][at[above]] = LN_MILLION / np.exp(new[:, 1])
                result["error"][at[above]] = LN_MILLION / np.exp(new[:, 1]) * np.sqrt(scatter[above] * cov[:, 1, 1])
                result["verdict"][at[above]] = 0
    return result


def fitted(rows, cut):
    """Truncation by the iteration, rough curve and fit."""
    first = {
        "stop": cut["time"],
        "noise": cut["noise"],
        "missing": 10 ** ((cut["level"] + cut["slope"] * cut["time"]) / 10) / cut["rate"],
    }
    lines = decay_lines(*schroeder(rows, first, 400), SPANS[:2])
    rough = np.where(np.isnan(lines["t20"][0]), lines["edt"][0], lines["t20"][0])
    rough = np.where(np.isnan(rough), LN_MILLION / cut["rate"], rough)
    last = rows.mean(0.9 * rows.end, rows.end)
    full = full_range(rows, rough, cut["time"], np.where(cut["noise"] > 0, cut["noise"], last / 2))
    noiseless = np.isneginf(full["model"][:, -1])
    full["verdict"][full["found"] & noiseless & ~full["two"] & cut["met"]] = 2
    return first, full, last
