"""The bench's summary of a log in pandas: python3 peer_log.py log.csv. Prints what reference.c prints."""
import sys

import numpy
import pandas

log = pandas.read_csv(sys.argv[1])
log.columns = [name.split(" ")[0] for name in log.columns]
time = pandas.to_datetime(log["time"], format="%Y-%m-%dT%H:%M:%SZ").astype("int64").to_numpy() / 1e9
values = log.drop(columns="time")
duration = numpy.append(numpy.diff(time), 0.0)
duration[(duration <= 0) | (duration > 10)] = 0.0
spraying = (log["trigger"] != 0).to_numpy()
iso, resin = log["iso_flow"].to_numpy(), log["resin_flow"].to_numpy()
hose = log["hose_temperature"].to_numpy()
imbalance = ((log["iso_pressure"] - log["resin_pressure"]) / log["resin_pressure"]).to_numpy()
moving = (iso > 0.05) | (resin > 0.05)
every = values.agg(["min", "max", "mean"])
while_spraying = values[spraying].agg(["min", "max", "mean"])


def runs(on, lasting):
    """How many unbroken runs there are, and how many of them last."""
    before = numpy.append(False, on[:-1] & (duration[:-1] > 0))
    after = numpy.append(on[1:], False) & (duration > 0)
    first, last = numpy.flatnonzero(on & ~before), numpy.flatnonzero(on & ~after)
    return len(first), int(numpy.sum(time[last] + duration[last] - time[first] >= lasting))


with numpy.errstate(divide="ignore", invalid="ignore"):
    off = spraying & (numpy.abs(iso / resin - 1) > 0.05)
iso_volume, resin_volume = (iso * duration)[spraying].sum(), (resin * duration)[spraying].sum()
print("rows", len(log))
print("sprays", runs(spraying, 0)[0])
print("spraying_time", duration[spraying].sum())
print("recirculating_time", duration[~spraying & moving].sum())
print("idle_time", duration[~spraying & ~moving].sum())
print("iso_volume", iso_volume / 60)
print("resin_volume", resin_volume / 60)
print("ratio", iso_volume / resin_volume)
print("imbalance_mean", imbalance[spraying].mean())
print("hose_below", duration[spraying & (hose < 45)].sum())
print("off_ratio_events", runs(off, 5)[1])
print("off_balance_events", runs(spraying & (numpy.abs(imbalance) > 0.1), 5)[1])
print("cold_events", runs(hose < 45, 60)[1])
print("mean", every.loc["mean", "iso_pressure"], every.loc["mean", "iso_temperature"], while_spraying.loc["mean", "iso_pressure"])
