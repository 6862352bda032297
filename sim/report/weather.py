"""What `power` tells of a scheme in cold and heat: figures at each end, light by channel."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from effects import Show
from layouts.catalogue import limits
from layouts.copper import temperature_factor
from layouts.finding import Finding
from sim.frame import Rig
from sim.report.blocks import Block, Table, columns, note, row, section
from sim.report.limits_told import against_ceiling
from sim.report.power import PowerReport, power_report
from sim.report.text import amps, percent
from sim.upkeep.own_warming import OwnWarming, own_warming
from sim.upkeep.rates import Rates
from sim.upkeep.weather import ChannelThen, channels_at, rig_at
from sim.upkeep.weather_findings import warming_findings, weather_findings


@dataclass(frozen=True, eq=False)
class AtTemperature:
    """A scheme on a house at one temperature."""

    celsius: float
    power: PowerReport
    channels: tuple[ChannelThen, ...]
    findings: tuple[Finding, ...]  # of the weather
    warming: tuple[OwnWarming, ...]  # of every run, over the air, by its own watts
    warmed: tuple[ChannelThen, ...]  # where `celsius` is that of the air and LEDs warm themselves

    @property
    def warmest(self) -> OwnWarming | None:
        """The run that warms itself most."""
        return max(self.warming, key=lambda each: each.led_k[1], default=None)

    @property
    def copper(self) -> float:
        """Resistance against that at 20 °C."""
        return temperature_factor(self.celsius)

    @property
    def supply_left(self) -> float:
        """Share of its rating that a supply keeps."""
        return limits().left_at("supply", self.celsius)

    @property
    def peak_a(self) -> float:
        return float(self.power.scan.loads.run_a.sum(axis=1).max())

    @property
    def least_v(self) -> tuple[float, str]:
        """Of the run that has lost the largest share, and its name."""
        worst = max(self.power.scan.runs, key=lambda use: use.drop)
        return worst.min_v, worst.run.name

    @property
    def red_to_blue(self) -> tuple[float, float] | None:
        """By what red gains on blue against 25 °C, least and most."""
        light = {each.channel: each.light for each in self.channels}
        if not {"r", "b"} <= light.keys():
            return None
        (r_low, r_high), (b_low, b_high) = light["r"], light["b"]
        return r_low / b_high, r_high / b_low


def at_temperature(
    rig: Rig, show: Show, celsius: float, rates: Rates, *, seconds: float | None = None
) -> AtTemperature:
    """The scheme watched with every part at a temperature [°C]."""
    power = power_report(rig_at(rig, celsius, rates), show, seconds=seconds)
    return weather_of(rig, power, celsius, rates)


def weather_of(rig: Rig, power: PowerReport, celsius: float, rates: Rates) -> AtTemperature:
    """The same, watched already: `power` is of `rig_at` that temperature."""
    channels = channels_at(rig.house, celsius, rates)
    warming = own_warming(power.scan.runs, rates)
    return AtTemperature(
        celsius,
        power,
        channels,
        (
            *weather_findings(power.scan, celsius, rates),
            *warming_findings(power.scan, warming, celsius, rates),
        ),
        warming,
        _warmed(rig, warming, celsius, rates),
    )


def _warmed(
    rig: Rig, warming: Sequence[OwnWarming], celsius: float, rates: Rates
) -> tuple[ChannelThen, ...]:
    """Light by channel over all that the runs' LEDs may have in air of `celsius` [°C]."""
    least, most = (
        pick(each.led_k[end] for each in warming) if warming else 0.0
        for end, pick in ((0, min), (1, max))
    )
    cool, hot = (channels_at(rig.house, celsius + rise, rates) for rise in (least, most))
    return tuple(
        ChannelThen(
            one.channel,
            other.vf_v,
            (min(one.light[0], other.light[0]), max(one.light[1], other.light[1])),
        )
        for one, other in zip(cool, hot, strict=True)
    )


def weather_blocks(ends: Sequence[AtTemperature]) -> Iterator[Block]:
    """One column for each temperature."""
    heads = columns("", *(f">{end.celsius:g} °C" for end in ends))
    title = "Cold and heat" if len(ends) > 1 else f"At {ends[0].celsius:g} °C"
    rows = [
        row("copper, against 20 °C", *(f"× {end.copper:.3f}" for end in ends)),
        row("peak", *(amps(end.peak_a) for end in ends)),
        row("least volts", *(f"{end.least_v[0]:.2f} V, {end.least_v[1]}" for end in ends)),
        row("ceiling", *(_ceiling(end) for end in ends)),
        row("supplies keep", *(percent(end.supply_left) for end in ends)),
    ]
    for number, channel in enumerate(ends[0].channels):
        said = [end.channels[number] for end in ends]
        rows.append(
            row(f"forward volts of {channel.channel}", *(f"{1000 * e.vf_v:+.0f} mV" for e in said))
        )
    for number, channel in enumerate(ends[0].channels):
        said = [end.channels[number] for end in ends]
        rows.append(row(f"light of {channel.channel}, against 25 °C", *map(_light, said)))
    if all(end.warmest for end in ends):
        rows.append(row("LEDs over the air", *map(_warmest, ends)))
        for number, channel in enumerate(ends[0].warmed):
            said = [end.warmed[number] for end in ends]
            rows.append(row(f"light of {channel.channel}, so warmed", *map(_light, said)))
    if all(end.red_to_blue for end in ends):
        rows.append(row("red to blue", *(_span(end.red_to_blue or (1, 1)) for end in ends)))
    yield section(
        title,
        Table(heads, tuple(rows)),
        note(
            "of the parts themselves; light as a range over what T₁ can be. The codes stay, so a"
            " white balanced at 25 °C turns pink in the cold and cyan in the heat"
        ),
        note(
            "so warmed: if that is the air, and this scheme is on for ten minutes. Watts a metre"
            " over loss and outline of the channel, and the package on top; the range is that of"
            " the loss (5 to 12 W/m²K), from three sides to all round, red to blue [from memory]"
        ),
    )


def _ceiling(end: AtTemperature) -> str:
    found = end.power.ceiling
    return "–" if found is None else against_ceiling(end.power.scan.brightness, found)[1]


def _warmest(end: AtTemperature) -> str:
    found = end.warmest
    assert found is not None
    low, high = found.led_k
    return f"{low:+.0f} to {high:+.0f} K, {found.run}"


def _light(each: ChannelThen) -> str:
    return _span(each.light)


def _span(pair: tuple[float, float]) -> str:
    low, high = (f"{each:.2f}" for each in pair)
    return f"× {low}" if low == high else f"× {low} to {high}"


def weather_json(ends: Sequence[AtTemperature]) -> list[dict[str, Any]]:
    """Each temperature as plain data."""
    return [
        {
            "celsius": end.celsius,
            "copper": end.copper,
            "peak_a": end.peak_a,
            "least_v": end.least_v[0],
            "least_v_run": end.least_v[1],
            "brightness_ceiling": end.power.ceiling and end.power.ceiling.brightness,
            "wall_w_mean": end.power.scan.energy.wall_w_mean,
            "supply_left": end.supply_left,
            "channels": {
                each.channel: {"vf_v": each.vf_v, "light_band": each.light} for each in end.channels
            },
            "red_to_blue_band": end.red_to_blue,
            "own_warming": {
                each.run: {
                    "watts_per_m": each.watts_per_m,
                    "channel_k_band": each.channel_k,
                    "led_k_band": each.led_k,
                }
                for each in end.warming
            },
            "warmed_light_band": {each.channel: each.light for each in end.warmed},
        }
        for end in ends
    ]
