"""From kind entries to kinds: inheritance, what follows from what, what must be there.

An entry is the plain mapping written in a file. `like` chains are merged from the far end; a key
that replaces another (`pitch` and `per_metre`, `wire` and `rail_ohm_per_m`, `nm` and `cct`) takes
the inherited one away.
"""

from __future__ import annotations

from collections.abc import Mapping
from fnmatch import fnmatchcase
from types import MappingProxyType
from typing import Any

from layouts.copper import ohm_per_m
from layouts.errors import KindError as KindError
from layouts.files.names import did_you_mean
from layouts.kind_extras import extras
from layouts.kind_whites import check_whites
from layouts.logic import HIGH, LOW, OUT, LogicLevel, logic_level
from layouts.records import CHANNELS, Channel, Kind, Regulator
from layouts.units import length_m, wire_area_mm2
from layouts.warming import warming_of

#: Writing one of a pair drops the other where it was inherited.
_RIVALS = (("pitch", "per_metre"), ("wire", "rail_ohm_per_m"))
_PLAIN = [
    "volts",
    "law",
    "headroom_v",
    "idle_ma",
    "min_v",
    "bits",
    "bit_us",
    "reset_us",
    "order",
    "pwm_hz",
    "backup_data",
    "mount",
]


def merged(name: str, entries: Mapping[str, Mapping[str, Any]]) -> dict[str, Any]:
    """The entry called `name` with everything it inherits.

    Raises KindError for an unknown `like` and for a circle.
    """
    chain = [name]
    while (like := entries[chain[-1]].get("like")) is not None:
        if like in chain:
            circle = " → ".join([*chain, like])
            path = ("like",) if like == name else ()
            raise KindError(path, f"'like' runs in a circle: {circle}", "break it")
        if like not in entries:
            path = ("like",) if chain == [name] else ()
            raise KindError(path, f"unknown kind '{like}'", did_you_mean(like, entries))
        chain.append(like)
    result: dict[str, Any] = {}
    for each in reversed(chain):
        result = _over(result, entries[each])
    return result


def _over(base: dict[str, Any], entry: Mapping[str, Any]) -> dict[str, Any]:
    result = dict(base)
    for pair in _RIVALS:
        if any(entry.get(key) is not None for key in pair):
            for key in pair:
                result.pop(key, None)
    recoloured = {name for name, over in entry.get("channels", {}).items() if "nm" in (over or {})}
    result["bins_nm"] = {
        name: bins for name, bins in base.get("bins_nm", {}).items() if name not in recoloured
    }
    for key, value in entry.items():
        if value is None:
            continue
        if key == "channels":
            result[key] = _channels(base.get(key, {}), value)
        elif key == "warm":
            result[key] = _by_channel(base.get(key, {}), value)
        elif key == "data":
            given = {k: level for k, level in value.items() if level is not None}
            result[key] = {**base.get(key, {}), **given}
        elif key == "sources":  # the nearer lines are tried first
            result[key] = {
                **value,
                **{k: v for k, v in base.get(key, {}).items() if k not in value},
            }
        else:
            result[key] = value
    return result


def _channels(base: Mapping[str, Any], over: Mapping[str, Any]) -> dict[str, Any]:
    """`_by_channel`, where a colour takes the place of a white, and a white that of a colour."""
    kept = {}
    for name, channel in base.items():
        said = over.get(name) or {}
        gone = ["cct"] if said.get("nm") is not None else []
        gone += ["nm", "fwhm_nm"] if said.get("cct") is not None else []
        kept[name] = {key: value for key, value in channel.items() if key not in gone}
    return _by_channel(kept, over)


def _by_channel(base: Mapping[str, Any], over: Mapping[str, Any]) -> dict[str, Any]:
    """What is said of each channel, over what was said of it before."""
    result = {name: dict(said) for name, said in base.items()}
    for name, written in over.items():
        said = {key: value for key, value in (written or {}).items() if value is not None}
        result[name] = {**result.get(name, {}), **said}
    return result


def kind(name: str, entry: Mapping[str, Any]) -> Kind:
    """The kind that a merged entry describes; KindError for what is missing or impossible."""
    channels = tuple(
        _channel(each, entry["channels"][each])
        for each in CHANNELS
        if each in entry.get("channels", {})
    )
    if not channels:
        raise KindError((), f"kind '{name}' has no channels", "give them, or start with 'like'")
    for key in _PLAIN:
        if entry.get(key) is None:
            raise KindError((), f"kind '{name}' lacks '{key}'", "give it, or start with 'like'")
    pitch_m = _pitch_m(name, entry)
    rail_ohm_per_m = entry.get("rail_ohm_per_m")
    if rail_ohm_per_m is None:
        if entry.get("wire") is None:
            raise KindError((), f"kind '{name}' lacks 'rail_ohm_per_m'", "give it, or its 'wire'")
        rail_ohm_per_m = ohm_per_m(wire_area_mm2(entry["wire"])[1])
    letters = "".join(channel.name for channel in channels)
    if sorted(entry["order"]) != sorted(letters):
        what = f"order '{entry['order']}' does not name the channels {letters} once each"
        raise KindError(("order",), what, "write each channel once")
    each = 16 if entry.get("levels", 256) > 256 else 8
    if entry["bits"] < each * len(letters):
        what = f"{entry['bits']} bits are not {each} for each of {len(letters)} channels"
        raise KindError(("bits",), what, f"write {each * len(letters)}")
    for warm in entry.get("warm", {}):
        if warm not in letters:
            what = f"'warm' says of a channel {warm} that kind '{name}' has not"
            raise KindError(("warm", warm), what, f"write {', '.join(letters)}")
    if not entry["min_v"] < entry["volts"]:
        raise KindError(("min_v",), "min_v is not below volts", "write the least supply voltage")
    _check_law(name, entry, channels)
    check_whites(name, entry["law"], channels)
    levels = _levels(entry)
    return Kind(
        name=name,
        channels=channels,
        supply_v=float(entry["volts"]),
        law=entry["law"],
        headroom_v=float(entry["headroom_v"]),
        idle_ma=float(entry["idle_ma"]),
        min_v=float(entry["min_v"]),
        bits=entry["bits"],
        bit_us=float(entry["bit_us"]),
        reset_us=float(entry["reset_us"]),
        order=entry["order"],
        pwm_hz=float(entry["pwm_hz"]),
        backup_data=entry["backup_data"],
        pitch_m=pitch_m,
        rail_ohm_per_m=float(rail_ohm_per_m),
        mount=entry["mount"],
        data_hop_m=_metres(entry.get("data_hop_m")),
        leds_per_pixel=entry.get("leds_per_pixel", 1),
        beam_half_deg=float(entry.get("beam_half_deg", 60.0)),
        data_high=levels["high"],
        data_low=levels["low"],
        data_out=levels["out"],
        resistor_ohm=entry.get("resistor_ohm") if entry["law"] == "resistor" else None,
        regulator=_regulator(entry),
        idle_resistor=bool(entry.get("idle_resistor")),
        warm=MappingProxyType(warming_of(entry["warm"])) if entry.get("warm") else None,
        **extras(name, entry),
        dominant_bins_nm=_bins(entry),
        sources=MappingProxyType(sources(entry)),
        note=entry.get("note", ""),
    )


#: Keys that mean something under one law only.
_OF_LAW = {
    "resistor": ("resistor_ohm",),
    "regulator": ("dropout_v", "regulator_ma", "efficiency", "regulated_v"),
}


def _check_law(name: str, entry: Mapping[str, Any], channels: tuple[Channel, ...]) -> None:
    """KindError for what a law needs and has not, and for what is none of its own."""
    law = entry["law"]
    if entry.get("idle_resistor") and (law == "regulator" or entry["volts"] <= _INSIDE_V):
        what = f"the logic of kind '{name}' is fed by its regulator"
        if law != "regulator":
            what = f"{entry['volts']:g} V leave nothing for a resistor before 5 V logic"
        raise KindError(("idle_resistor",), what, "leave it out")
    for other, keys in _OF_LAW.items():
        for key in keys if other != law else ():
            if entry.get(key) is not None:
                what = f"'{key}' belongs to law '{other}', and kind '{name}' has '{law}'"
                raise KindError((key,), what, f"write 'law: {other}', or leave it out")
    if law == "resistor":
        for channel in channels:
            ohm = channel.resistor_ohm or entry.get("resistor_ohm")
            if ohm is None:
                what = f"channel {channel.name} of kind '{name}' has no resistor"
                raise KindError((), what, "give 'resistor_ohm'")
            if not channel.vf_v + entry["headroom_v"] < entry["volts"]:
                what = f"{entry['volts']:g} V leave nothing for the resistor of {channel.name}"
                raise KindError(("volts",), what, "check vf, headroom_v and volts")
    if law == "regulator":
        for key in ("dropout_v", "regulator_ma"):
            if entry.get(key) is None:
                raise KindError((), f"kind '{name}' lacks '{key}'", "its regulator needs it")
        made_v = entry.get("regulated_v") or _INSIDE_V
        if not made_v + entry["dropout_v"] < entry["volts"]:
            what = f"{entry['volts']:g} V are too few to make {made_v:g} V of"
            raise KindError(("volts",), what, "check dropout_v, regulated_v and volts")
        most_v = max(channel.vf_v for channel in channels) + entry["headroom_v"]
        if most_v > made_v:
            what = f"its own {made_v:g} V are less than the {most_v:g} V its colours need"
            raise KindError(("headroom_v",), what, "check vf, headroom_v and regulated_v")


def _regulator(entry: Mapping[str, Any]) -> Regulator | None:
    if entry["law"] != "regulator":
        return None
    share = entry.get("efficiency")
    return Regulator(
        dropout_v=float(entry["dropout_v"]),
        own_ma=float(entry["regulator_ma"]),
        efficiency=None if share is None else float(share),
        gives_v=float(entry.get("regulated_v") or _INSIDE_V),
    )


def _channel(name: str, entry: Mapping[str, Any]) -> Channel:
    for key in ("ma", "vf", "lm"):
        if entry.get(key) is None:
            raise KindError(("channels", name), f"channel {name} lacks '{key}'", "give it")
    nm, cct = entry.get("nm"), entry.get("cct")
    if (nm is None) == (cct is None):
        what = f"channel {name} needs either 'nm' or 'cct'"
        raise KindError(("channels", name), what, "nm for a colour, cct for a phosphor white")
    if nm is not None and entry.get("fwhm_nm") is None:
        what = f"channel {name} lacks 'fwhm_nm'"
        raise KindError(("channels", name), what, "give the spectral width")
    return Channel(
        name=name,
        current_ma=float(entry["ma"]),
        vf_v=float(entry["vf"]),
        flux_lm=float(entry["lm"]),
        dominant_nm=None if nm is None else float(nm),
        fwhm_nm=None if nm is None else float(entry["fwhm_nm"]),
        cct_k=None if cct is None else float(cct),
        resistor_ohm=entry.get("resistor_ohm"),
    )


#: [V] up to which a part runs its logic on what it is fed with.
_MOST_LOGIC_V = 6.0
#: [V] inside a part that has its own regulator, as those for 12 V have.
_INSIDE_V = 5.0


def _levels(entry: Mapping[str, Any]) -> dict[str, LogicLevel]:
    """Levels of the data line; those of a 12 V part that says nothing lie on its own 5 V."""
    inner = float(entry["volts"]) > _MOST_LOGIC_V
    usual = {"high": HIGH, "low": LOW, "out": OUT}
    if inner:
        usual = {key: LogicLevel(each.value * _INSIDE_V, False) for key, each in usual.items()}
    written = {key: logic_level(text) for key, text in entry.get("data", {}).items()}
    return {**usual, **written}


def _bins(entry: Mapping[str, Any]) -> Mapping[str, tuple[float, float]] | None:
    bins = {name: (float(low), float(high)) for name, (low, high) in entry["bins_nm"].items()}
    return MappingProxyType(bins) if bins else None


def _metres(value: float | str | None) -> float | None:
    return None if value is None else length_m(value)


def _pitch_m(name: str, entry: Mapping[str, Any]) -> float:
    if entry.get("pitch") is not None and entry.get("per_metre") is not None:
        raise KindError(("pitch",), f"kind '{name}' has both 'pitch' and 'per_metre'", "keep one")
    if entry.get("per_metre") is not None:
        return 1.0 / float(entry["per_metre"])
    if entry.get("pitch") is None:
        raise KindError((), f"kind '{name}' lacks its pitch", "give 'per_metre' or 'pitch'")
    return length_m(entry["pitch"])


def sources(entry: Mapping[str, Any]) -> dict[str, str]:
    """Every number and word of a merged entry by its path, with its source and tag.

    The first pattern under `sources` that fits a path counts; a path without one is left out,
    and a test of the catalogue rejects that.
    """
    patterns = entry.get("sources", {})
    found = {}
    for path in leaves(entry):
        for pattern, source in patterns.items():
            if fnmatchcase(path, pattern):
                found[path] = source
                break
    return found


def leaves(entry: Mapping[str, Any]) -> list[str]:
    """The dotted paths of the values of a merged entry that need a source."""
    paths = []
    for key, value in entry.items():
        if key in ("like", "sources", "note") or value is None:
            continue
        if key in ("channels", "warm"):
            paths += [f"{key}.{c}.{k}" for c, fields in value.items() for k in fields]
        elif key in ("data", "set_ma"):
            paths += [f"{key}.{k}" for k, said in value.items() if said is not None]
        elif key == "bins_nm":
            paths += [f"bins_nm.{c}" for c in value]
        else:
            paths.append(key)
    return paths
