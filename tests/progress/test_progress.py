"""What is kept of flights, what is made of it, and that it can be written out and deleted."""

import sqlite3
from dataclasses import replace

import pytest

from assistant.debrief.content import Topic
from assistant.progress.flights import KeptFlight, TopicMarks
from assistant.progress.store import StoreError, opened
from assistant.progress.trends import AtHand, WindBand, next_practice, progress_of, wind_band


def flight(number, *, costs=None, procedure="ZZAA", wind_kt=15.0, prompting="full", met=4, marks=5):
    topics = [TopicMarks(topic=Topic.COURSE, met=met, marks=marks, cost=0.0)]
    topics += [TopicMarks(topic=topic, met=0, marks=0, cost=cost) for topic, cost in (costs or {}).items()]
    return KeptFlight(
        ident=f"flight{number}",
        started_utc=f"2026-01-{number + 1:02d}T10:00:00+00:00",
        procedure=procedure,
        title=f"Title of {procedure}",
        origin="live",
        standard="a standard",
        wind_kt=wind_kt,
        prompting=prompting,
        ended="landed",
        topics=tuple(topics),
    )


def test_what_is_kept_is_read_again_oldest_first(tmp_path):
    first, second = flight(1, costs={Topic.TURN: 6.0}), flight(2)
    with opened(tmp_path / "p.sqlite3") as store:
        store.keep(second)
        store.keep(first)

    with opened(tmp_path / "p.sqlite3") as store:
        assert store.flights() == (first, second)


def test_a_flight_debriefed_again_takes_its_own_place(tmp_path):
    with opened(tmp_path / "p.sqlite3") as store:
        store.keep(flight(1))
        again = replace(flight(1), ended="ended on the missed approach")
        store.keep(again)

        assert store.flights() == (again,)


def test_what_is_deleted_is_gone_from_the_file_too(tmp_path):
    path = tmp_path / "p.sqlite3"
    with opened(path) as store:
        store.keep(flight(1, procedure="SECRETPLACE"))
        store.keep(flight(2))
        assert store.delete("flight1") == 1
        assert [kept.ident for kept in store.flights()] == ["flight2"]
        assert store.delete("flight1") == 0
        assert store.delete(None) == 1

    assert b"SECRETPLACE" not in path.read_bytes()
    with sqlite3.connect(path) as connection:
        assert connection.execute("SELECT count(*) FROM topics").fetchone() == (0,)
    connection.close()


def test_a_file_that_is_no_store_is_refused_with_a_remedy(tmp_path):
    path = tmp_path / "p.sqlite3"
    path.write_bytes(b"not a database" * 100)

    with pytest.raises(StoreError, match="move the file away"), opened(path) as store:
        store.flights()


def test_a_store_of_a_newer_form_is_refused(tmp_path):
    path = tmp_path / "p.sqlite3"
    connection = sqlite3.connect(path)
    connection.execute("PRAGMA user_version = 99")
    connection.close()

    with pytest.raises(StoreError, match="newer leadradial"), opened(path):
        pass


@pytest.mark.parametrize(
    ("wind_kt", "band"),
    [(0.0, WindBand.LIGHT), (10.0, WindBand.FRESH), (20.0, WindBand.FRESH), (21.0, WindBand.STRONG)],
)
def test_bands_of_wind(wind_kt, band):
    assert wind_band(wind_kt) is band


def test_a_trend_compares_the_newer_half_with_the_older():
    # Costs 12, 8 | 4, 4: means 10 and 4, more than a fifth less.
    flights = [flight(n, costs={Topic.TURN: cost}) for n, cost in enumerate([12.0, 8.0, 4.0, 4.0])]

    (trend,) = progress_of(flights).by_procedure
    turning = next(t for t in progress_of(flights).by_topic if t.name == Topic.TURN.value)

    assert (trend.before_cost, trend.now_cost, trend.direction) == (10.0, 4.0, "better")
    assert turning.direction == "better"
    assert (trend.flights, trend.met, trend.marks) == (4, 16, 20)


def test_rising_costs_are_worse_steady_ones_the_same_and_one_flight_tells_nothing():
    def direction(*costs):
        return (
            progress_of([flight(n, costs={Topic.TURN: c}) for n, c in enumerate(costs)]).by_wind[0].direction
        )

    assert direction(4.0, 8.0) == "worse"
    assert direction(10.0, 10.5) == "the same"
    assert direction(10.0) == "too few to tell"


def test_the_next_practice_is_the_dearest_topic_where_it_was_dearest():
    flights = [
        flight(0, costs={Topic.TURN: 6.0}, procedure="ZZAA", wind_kt=5.0),
        flight(1, costs={Topic.TURN: 18.0}, procedure="ZZBB", wind_kt=25.0),
        flight(2, costs={Topic.SLOPE: 9.0}, procedure="ZZCC", wind_kt=15.0),
    ]

    chosen = next_practice(flights)

    # Turning cost 24 in three flights, the slope 9; turning cost most on ZZBB, in strong wind.
    assert (chosen.topic, chosen.procedure, chosen.wind_kt) == (Topic.TURN, "ZZBB", 25.0)
    assert "turning on time cost most in the last 3 flights" in chosen.because


def test_where_nothing_stands_out_the_least_flown_is_next_in_more_wind():
    flights = [flight(0, procedure="ZZAA"), flight(1, procedure="ZZAA"), flight(2, procedure="ZZBB")]

    chosen = next_practice(flights)

    assert (chosen.topic, chosen.procedure, chosen.wind_kt) == (None, "ZZBB", 25.0)


def test_of_those_flown_as_seldom_the_one_not_flown_for_longest_is_next():
    flights = [flight(0, procedure="ZZBB"), flight(1, procedure="ZZAA"), flight(2, procedure="ZZCC")]

    assert next_practice(flights).procedure == "ZZBB"


def test_where_nothing_stands_out_a_procedure_never_flown_comes_first_by_name():
    at_hand = [AtHand(procedure=name, title=f"Title of {name}") for name in ("ZZDD", "ZZAA", "ZZCC")]

    chosen = next_practice([flight(0, procedure="ZZAA")], at_hand)

    assert (chosen.procedure, chosen.title) == ("ZZCC", "Title of ZZCC")
    assert chosen.because == "nothing stands out in the last flights; this one was never flown"


def test_what_cost_most_goes_before_what_was_never_flown():
    flights = [flight(0, procedure="ZZAA", costs={Topic.TURN: 6.0})]

    assert next_practice(flights, [AtHand(procedure="ZZBB", title="B")]).procedure == "ZZAA"


@pytest.mark.parametrize(
    ("met", "before", "after"),
    [
        (10, "full", "normal"),
        (9, "normal", "actions"),
        (7, "normal", "normal"),
        (5, "normal", "full"),
        (10, "silent", "silent"),
        (5, "full", "full"),
    ],
)
def test_prompting_fades_as_marks_are_met_and_comes_back_when_they_are_not(met, before, after):
    assert next_practice([flight(0, met=met, marks=10, prompting=before)]).prompting == after


def test_before_the_first_flight_there_is_nothing_to_choose():
    assert next_practice([]) is None
