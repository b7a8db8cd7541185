"""What `desk pace` learns from touches is what Bayes' rule says.

1. PyPI's scipy: the posterior of the ordered probit, its mean and spread by adaptive quadrature.
2. Earlier jobs: the exact posterior of the whole hierarchy (a paste's own distance from its card,
   each job's distance from its paste) on a grid in numpy. The program keeps each job by a normal
   likelihood (A. Gelman and others, Bayesian Data Analysis, chapter 5, from memory), which is an
   approximation: it is held to a twentieth of the spread of one paste.
3. Monte Carlo: touches drawn from pastes drawn from the prior; the 95 % range of the next recoat
   time holds the truth as often as it says.
"""

import numpy as np
from scipy.integrate import quad
from scipy.special import ndtr, ndtri
from scipy.stats import norm

from desk import Verdict, ask

verdict = Verdict()
rng = np.random.default_rng(71)
CARD = {"recoat_from_min": 60, "demould_min": 150, "reference_c": 23, "q10": 2.0}
Z95 = ndtri(0.975)
base = ask("pace", {"card": CARD})
FINGER, OWN, JOB = base["finger_sd"], base["card_sd"], base["job_sd"]
ALONE = np.hypot(OWN, JOB)
TACKY = np.log(base["firm_min"] / CARD["recoat_from_min"])
verdict.hold(
    base["prior"] == base["pace"] and abs(base["prior"]["sd"] - ALONE) < 1e-12 and base["prior"]["mean"] == 0,
    "before any touch: as the card says, with the two spreads together",
)


def chance(touch, pace, mean, sd):
    """Of this answer from a paste of that pace, no age further off than the prior's 95 %."""
    of_coat = touch["of"] == "coat"
    firm = TACKY if of_coat else 0.0
    feel = touch["feel"] if of_coat or touch["feel"] == "firm" else "wet"
    far = Z95 * np.hypot(sd, FINGER)
    with np.errstate(divide="ignore"):
        z = np.log(touch["age_min"] / (CARD["recoat_from_min"] if of_coat else CARD["demould_min"]))
    if feel == "wet":
        return ndtr(-(min(z, -mean + far) + pace) / FINGER)
    if feel == "firm":
        return ndtr((max(z, -mean + firm - far) + pace - firm) / FINGER)
    z = min(max(z, -mean - far), -mean + firm + far)
    return ndtr((firm - z - pace) / FINGER) - ndtr((-z - pace) / FINGER)


def posterior(touches, mean, sd):
    def weight(pace):
        told = np.prod([chance(t, pace, mean, sd) for t in touches])
        return told * np.exp(-0.5 * ((pace - mean) / sd) ** 2)

    # The peak is looked for first, so that the quadrature knows what is small.
    top = max(weight(p) for p in np.linspace(mean - 4 * sd, mean + 4 * sd, 161))
    ends = np.linspace(mean - 7 * sd, mean + 7 * sd, 8)
    whole = [
        sum(quad(lambda p: p**k * weight(p) / top, a, b, epsabs=1e-10, epsrel=1e-9)[0] for a, b in zip(ends, ends[1:]))
        for k in range(3)
    ]
    m = whole[1] / whole[0]
    return m, np.sqrt(whole[2] / whole[0] - m * m)


def felt(pace):
    """Touches of one job as someone would make them: again a fifth later while it is wet."""
    touches = []
    for of, time in [("coat", 60), ("coat", 60), ("skin", 150)][rng.integers(0, 2) :]:
        age = time * np.exp(0.2 * rng.normal())
        for _ in range(5):
            at = np.log(age / time) + pace + FINGER * rng.normal()
            feel = "wet" if at < 0 else "tacky" if of == "coat" and at < TACKY else "firm"
            touches.append({"of": of, "age_min": float(age), "feel": feel})
            if at >= 0:
                break
            age += 0.2 * time
    return touches


# One job, plausible answers and nonsense.
cases = [felt(ALONE * rng.normal()) for _ in range(60)]
cases += [
    [{"of": "coat", "age_min": 0, "feel": "tacky"}],
    [{"of": "coat", "age_min": 0, "feel": "firm"}, {"of": "coat", "age_min": 9000, "feel": "wet"}],
    [{"of": "skin", "age_min": 1e6, "feel": "tacky"}],
]
worst = 0.0
for touches, answer in zip(cases, ask("pace", [{"card": CARD, "touches": t} for t in cases])):
    m, sd = posterior(touches, 0.0, ALONE)
    worst = max(worst, abs(answer["pace"]["mean"] - m), abs(answer["pace"]["sd"] - sd))
    span = answer["recoat_min"]
    worst = max(worst, abs(span["value"] / (60 * np.exp(-m)) - 1))
    worst = max(worst, abs(span["high95"] / (60 * np.exp(-m + Z95 * sd)) - 1))
verdict.hold(worst < 1e-6, f"{len(cases)} posteriors are scipy's to {worst:.1e}")

# Earlier jobs: the whole hierarchy on a grid.
own = np.linspace(-6 * OWN, 6 * OWN, 401)
steps = np.linspace(-6 * JOB, 6 * JOB, 201)
histories = []
for _ in range(40):
    truth = OWN * rng.normal()
    histories.append([felt(truth + JOB * rng.normal()) for _ in range(rng.integers(1, 6))])
requests = [{"card": CARD, "earlier": [{"touches": t} for t in jobs]} for jobs in histories]
off_mean, off_sd = 0.0, 0.0
for jobs, answer in zip(histories, ask("pace", requests)):
    log = norm.logpdf(own, 0, OWN)
    for touches in jobs:
        paces = own[:, None] + steps[None]
        told = np.prod([chance(t, paces, 0.0, ALONE) for t in touches], axis=0)
        log += np.log(told @ norm.pdf(steps, 0, JOB) + 1e-300)
    weight = np.exp(log - log.max())
    m = np.sum(own * weight) / weight.sum()
    sd = np.sqrt(np.sum((own - m) ** 2 * weight) / weight.sum() + JOB**2)
    off_mean = max(off_mean, abs(answer["prior"]["mean"] - m))
    off_sd = max(off_sd, abs(answer["prior"]["sd"] - sd))
verdict.hold(
    off_mean < OWN / 20 and off_sd < OWN / 20,
    f"40 histories of 1 to 5 jobs: mean within {off_mean:.4f}, spread within {off_sd:.4f} of the exact hierarchy",
)

# Coverage.
truths = ALONE * rng.normal(size=2000)
answers = ask("pace", [{"card": CARD, "touches": felt(pace)} for pace in truths])
spans = [a["recoat_min"] for a in answers]
held = np.mean([s["low95"] < 60 * np.exp(-p) < s["high95"] for s, p in zip(spans, truths)])
wide = np.mean([a["pace"]["sd"] for a in answers])
verdict.hold(
    0.93 < held < 0.97 and wide < 0.7 * ALONE,
    f"2000 pastes touched: the 95 % range holds {held:.3f} of them, spread {ALONE:.3f} before and {wide:.3f} after",
)
verdict.end()
