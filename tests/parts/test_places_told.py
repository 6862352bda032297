"""What the list says beside its counts: every place that is fed, how many wires meet, clips."""

from layouts import load_house
from sim.parts import bill_of, parts_beside


def changed(folder, old, new):
    text = (folder / "house.yaml").read_text()
    assert old in text
    (folder / "house.yaml").write_text(text.replace(old, new))
    return load_house(folder / "house.yaml")


def line(bill, item):
    (found,) = [each for each in bill.lines if each.item == item]
    return found


def test_every_feed_is_named_and_one_place_twice_counts_twice(folder):
    more = "".join(
        f"  - {{from: joint, to: 'door[{pixel}]', wire: 16 AWG, length: 1 m}}\n"
        for pixel in (20, 60, 90)
    )
    more += "  - {from: joint, to: door.end, wire: 16 AWG, length: 1 m}\n"
    house = changed(folder, "outputs:", f"{more}outputs:")
    plugs = line(bill_of(house, parts_beside(house)), "feed plug")
    assert plugs.quantity == 8
    assert plugs.purpose == "eave.start, .end; door.start, .end × 2, [20], [60], [90]"


# Two wires meet in a connector for two; the joint of one that comes and four that go takes more.
def test_a_junction_says_how_many_wires_meet(folder, house):
    assert line(bill_of(house, parts_beside(house)), "junction").purpose == (
        "+ and − of joint (2 wires)"
    )


# A strip of 3 m in six legs of 0.5 m, a clip every 0.25 m: 12 spans and 13 clips, of which the
# five at its bends hold two legs each; a tenth of 13 rounded up is 2 spare.
def test_legs_of_one_string_share_the_clip_at_their_bend(folder):
    text = (folder / "parts.yaml").read_text()
    bare = "profiles:\n  bare: {part: saddle, clips_every: 25 cm, clip: 0.1}"
    (folder / "parts.yaml").write_text(text.replace("profiles:", bare))
    path = "[[0, 1], [0.3, 1.4], [0.6, 1], [0.9, 1.4], [1.2, 1], [1.5, 1.4], [1.8, 1]]"
    run = f"  - {{name: hedge, pixels: ws2812b, path: {path}, profile: bare}}\n"
    house = changed(folder, "supplies:", f"{run}supplies:")
    (clips,) = [each for each in bill_of(house, parts_beside(house)).lines if each.part == "saddle"]
    assert (clips.quantity, clips.purpose) == (15, "hedge; 2 spare")
