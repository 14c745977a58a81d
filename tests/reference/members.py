# The group posterior of tests/stats/posterior.test.ts by another road: three million draws from the belief, weighted by the
# likelihood. Run by hand (python3 with numpy); what it printed on 2026-11-25 with numpy's default_rng(1) stands in the test.
import numpy as np

rng = np.random.default_rng(1)
n = 3_000_000
log_shape = np.log(2.5) + 0.4 * rng.standard_normal(n)
middle = np.log(40) + rng.standard_normal(n)
spread = rng.choice([0.1, 0.2, 0.4, 0.8], n)
members = [middle + spread * rng.standard_normal(n) for _ in range(3)]
shape = np.exp(log_shape)


def log_likelihood(times, status, log_scale):
    total = 0
    for t, failed in zip(times, status):
        total = total + failed * (log_shape - log_scale + (shape - 1) * (np.log(t) - log_scale)) - np.exp(shape * (np.log(t) - log_scale))
    return total


height = log_likelihood([22, 41, 37], [1, 1, 1], members[0]) + log_likelihood([60, 75], [1, 0], members[1])
weight = np.exp(height - height.max())
weight /= weight.sum()


def points(values):
    order = np.argsort(values)
    share = np.cumsum(weight[order])
    return [round(float(np.exp(values[order][np.searchsorted(share, p)])), 3) for p in (0.1, 0.5, 0.9)]


print("between", np.sqrt((weight * spread**2).sum()), "group", points(middle), "shape", points(log_shape))
for member in members:
    print("scale", points(member), "b10", points(member + np.log(-np.log(0.9)) / shape))
