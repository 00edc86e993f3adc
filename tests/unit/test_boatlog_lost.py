"""A three that splits, the lost-diver card, the words for the radio, and the sums behind them."""

from typing import Any

import pytest

from teamdive.boatlog import snapshot, sums
from teamdive.boatlog.facts import facts
from teamdive.boatlog.fold import State, fold
from teamdive.boatlog.lost import lost_card
from teamdive.boatlog.radio import position_words, radio_words
from teamdive.boatlog.view import view
from tests.boat_scene import Phone, at, trip, trip_body, uid

FIX = {"lat_e6": 38_600_000, "lon_e6": -28_700_000, "accuracy_m": 12}


def state(*phones: Phone, **kwargs: Any) -> State:
    return fold(trip(**kwargs), [entry for phone in phones for entry in phone.entries])


@pytest.fixture
def deck() -> Phone:
    phone = Phone("p1")
    phone.holds("09:00", "s")
    return phone


class TestThreeSplits:
    def test_two_heads_up_start_the_clock_of_the_third(self, deck: Phone) -> None:
        """26 m, last seen together 10:13: 1 min search, 26/9 min up, 3 min stop, 1 min more."""
        teams = [["l", "m", "n"]]
        plan: dict[str, Any] = {
            "depths": (26, 15),
            "run_min": (26, 48),
            "bottom_min": (18, 40),
            "teams": teams,
        }
        deck.down("10:00", members="lmn")
        deck.up("10:16", people="ln", last_seen_at=at("10:13"))
        deck.depth("10:17", "l", 26)
        told = state(deck, **plan)
        seen = view(told, at("10:18"))
        third = seen["people"][uid("m")]
        assert (third["state"], third["alone_clock"]) == ("down", True)
        assert third["due_at"] == at("10:13") + (60 + 26 * 60 // 9 + 180 + 60) * 1000
        assert seen["teams"][uid("t1")]["status"] == "down"
        whole = Phone("p2")
        whole.down("10:00", members="lmn")
        whole.up("10:16", people="lmn")
        assert view(state(whole, **plan), at("10:17"))["teams"][uid("t1")]["in_water"] == []


class TestCard:
    def test_the_facts_and_the_words(self, deck: Phone) -> None:
        made = trip_body(depths=(22, 15))
        for diver in made["dives"][0]["teams"][0]["divers"]:
            diver |= {"cylinder_dl": 120, "rmv_low_dl_min": 120}
        deck.write("conditions_found", "d1", "09:30", current_tenths_kn=10, current_toward_deg=70, wind_kn=14)
        deck.down("10:00", fix=FIX)
        deck.write(
            "pressure_reported",
            "b",
            "10:10",
            dive="d1",
            pressure={"unit": "bar", "value": 90},
        )
        deck.up("10:12", people="a", last_seen_at=at("10:10"), fix=FIX)
        told = fold(snapshot.read(made), deck.entries)
        known = facts(told)
        card = lost_card(told, known, uid("b"), at("11:00"))
        assert (card["state"], card["last_seen_at"]) == ("down", at("10:10"))
        assert (card["place"]["at"], card["place"]["from"]) == (at("10:00"), "down")
        assert card["boat_place"]["at"] == at("10:12")
        assert (card["depth"], card["planned_depth"]) == (None, {"unit": "m", "hundredths": 2200})
        # One knot for an hour is a nautical mile of 1852 m; 0.1 mile and 30 % of the run about it.
        assert card["drift"] == {"toward_deg": 70, "run_m": 1852, "radius_m": 185 + 556}
        # 12 L at 90 bar breathed at 12 L/min at 5 m, 1.5 bar: 60 min.
        assert card["gas"]["cannot_breathe_after"] == at("11:10")
        words = radio_words(card, view(told, at("11:00")), "Maré")
        assert words[:3] == ["MAYDAY, MAYDAY, MAYDAY.", "This is Maré, Maré, Maré.", "MAYDAY, Maré."]
        assert "Last seen at 10:10 UTC." in words
        assert "Current: 1.0 knots toward 070 degrees." in words
        assert "Depth: planned 22 metres, real depth not known." in words
        assert words[-1] == "Over."

    def test_a_position_is_as_old_as_the_phone_last_knew_it(self, deck: Phone) -> None:
        deck.down("10:00", fix={**FIX, "age_s": 90})
        told = state(deck)
        card = lost_card(told, facts(told), uid("a"), at("11:00"))
        assert (card["place"]["at"], card["last_seen_at"]) == (at("09:58:30"), at("10:00"))
        assert any("at 09:58 UTC" in line for line in radio_words(card, view(told, at("11:00")), "Maré"))

    def test_a_time_that_may_be_off_is_not_read_out_as_if_it_were_sure(self, deck: Phone) -> None:
        """Common practice, no source: a search is laid out from a time, so its doubt is read out with it."""
        deck.down("10:00", fix=FIX)
        deck.write("marker_seen", "t1", "10:08")
        other = Phone("later")
        other.down("10:04")
        told = state(deck, other)
        words = radio_words(
            lost_card(told, facts(told), uid("a"), at("11:00")), view(told, at("11:00")), "Maré"
        )
        assert "Went down at 10:00 UTC at the earliest, 10:04 UTC at the latest." in words
        assert "Surface marker seen at 10:08 UTC." in words
        # One came up and nobody said when they were last together: it was before that.
        deck.up("10:12", people="a")
        told = state(deck)
        words = radio_words(
            lost_card(told, facts(told), uid("b"), at("11:00")), view(told, at("11:00")), "Maré"
        )
        assert "Last seen some time before 10:12 UTC, not known when." in words
        # A phone's clock that may be five minutes off.
        fast = Phone("fast")
        fast.write("clock_compared", uid("fast"), "09:50", offset_ms=0, error_ms=300_000, how="server")
        fast.down("10:00", fix=FIX)
        told = state(fast)
        words = radio_words(
            lost_card(told, facts(told), uid("a"), at("11:00")), view(told, at("11:00")), "Maré"
        )
        assert "Went down at 09:55 UTC at the earliest, 10:05 UTC at the latest." in words
        assert "Last seen at about 10:00 UTC." in words
        assert any(line.startswith("Last known position of the diver at about 10:00 UTC: ") for line in words)

    def test_how_many_are_missing_and_how_many_belong_to_the_boat(self, deck: Phone) -> None:
        """From memory: a distress message says how many people it is about; whoever was not counted is not lost."""
        deck.down("10:00")
        told = state(deck)

        def read_out(clock: str, person: str = "a") -> list[str]:
            now = at(clock)
            return radio_words(lost_card(told, facts(told), uid(person), now), view(told, now), "Maré")

        # Due 10:38, overdue ten minutes later; nobody has called the others yet.
        lines = read_out("10:50")
        assert "2 people are missing. I need help with the search." in lines
        assert lines[-2] == "5 people in all: 0 aboard, 2 in the water, 3 not yet counted."
        deck.met("10:51", "cds")
        deck.up("10:52", people="b")
        deck.write("lost_from_sight", "b", "10:53")
        told = state(deck)
        assert "2 people are missing. I need help with the search." in read_out("10:54")
        deck.back("10:55", "b")
        told = state(deck)
        lines = read_out("10:56")
        assert "A diver is missing. I need help with the search." in lines
        assert lines[-2] == "5 people in all: 4 aboard, 1 in the water."
        deck.write("person_went_in", "s", "11:00")
        told = state(deck)
        assert "2 people are missing. I need help with the search." in read_out("11:01", "s")

    def test_a_sighting_of_somebody_else_places_no_search(self, deck: Phone) -> None:
        deck.down("10:00")
        deck.down("10:01", team="t2", members="cd")
        seen = deck.write("seen_at_surface", "a", "10:20", fix=FIX)
        placed = []
        for by in "-cs":
            if by != "-":
                said = {"corrects": seen.id, "reason": "wrong_person", "void": True, "subject_": uid("d")}
                deck.write("correction", "a", "10:30", by=by, **said)
            told = state(deck)
            cards = [lost_card(told, facts(told), uid(name), at("10:40")) for name in "ad"]
            placed.append(
                [(card["last_seen_at"] == at("10:20"), card["place"] is not None) for card in cards]
            )
        here, not_here = (True, True), (False, False)
        assert placed == [[here, not_here], [here, here], [not_here, here]]

    def test_what_nobody_entered_is_said_to_be_unknown(self, deck: Phone) -> None:
        deck.write("person_went_in", "a", "10:00")
        told = state(deck)
        card = lost_card(told, facts(told), uid("a"), at("11:00"))
        assert (card["place"], card["depth"], card["gas"], card["drift"]) == (None, None, None, None)
        words = radio_words(card, view(told, at("11:00")), "Maré")
        assert "My position: read it from the plotter." in words
        assert "Depth: not known." in words

    def test_the_last_dives_pressure_is_not_this_ones(self, deck: Phone) -> None:
        deck.down("09:40")
        deck.up("10:05")
        deck.write("pressure_reported", "a", "10:04", dive="d1", pressure={"unit": "bar", "value": 50})
        deck.down("11:30", team="t1b", dive="d2")
        told = state(deck)
        assert lost_card(told, facts(told), uid("a"), at("13:00"))["gas"] is None


@pytest.mark.parametrize(
    ("tenths", "minutes"), [(5, (14.8, 44, 125)), (10, (7.4, 22, 63)), (12, (6.2, 18, 52))]
)
def test_how_long_a_diver_can_be_seen(tenths: int, minutes: tuple[float, ...]) -> None:
    """Head 250 yd, arm 750 yd, flag 1.2 mi: a trial for the Health and Safety Executive, as others report it."""
    seen = sums.visible_for_s(tenths)
    for word, expected in zip(("head", "arm", "flag"), minutes, strict=True):
        found = seen[word]
        assert found is not None
        assert round(found / 60, 1 if word == "head" else 0) == expected
    assert sums.visible_for_s(0) == {"head": None, "arm": None, "flag": None}


def test_pressures_and_positions() -> None:
    # NIST Special Publication 811, appendix B.8: 1 psi = 6.894757 kPa.
    assert sums.pressure_mbar({"unit": "psi", "value": 3000}) == 206_843
    assert sums.pressure_mbar({"unit": "bar", "value": 200}) == 200_000
    assert position_words({"lat_e6": 38_601_234, "lon_e6": -28_700_000}) == (
        "38 degrees 36.074 minutes North, 028 degrees 42.000 minutes West"
    )
    assert position_words({"lat_e6": -59_999_999, "lon_e6": 0}).startswith("60 degrees 00.000 minutes South")
