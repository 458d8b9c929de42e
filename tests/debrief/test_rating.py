"""The rating's method, by hand: a finding costs its topic's weight times its size, three times at most."""

from assistant.debrief.content import Finding, Topic
from assistant.debrief.rating import LEAST_COST, MOST, WEIGHTS, practices


def found(topic, size, text="what happened"):
    return Finding(topic=topic, t_s=0.0, text=text, size=size, weight=WEIGHTS[topic])


def test_what_kills_first_is_practised_first():
    chosen = practices(
        [
            found(Topic.REPORTS, 2.0),
            found(Topic.ALTITUDE, 1.5),
            found(Topic.FLOOR, 1.0),
            found(Topic.TURN, 1.0),
        ]
    )

    # 10 for the floor; 4 x 1.5 = 6 and 6 x 1 = 6 for altitude and turn; talking costs 1 x 2 = 2, the fourth.
    assert chosen[0].topic is Topic.FLOOR
    assert {practice.topic for practice in chosen[1:]} == {Topic.ALTITUDE, Topic.TURN}


def test_many_small_things_of_one_kind_outweigh_one_large_of_another():
    chosen = practices([found(Topic.TURN, 2.5)] + [found(Topic.ALTITUDE, 1.2)] * 4)

    # Turn: 6 x 2.5 = 15. Altitude: 4 x 1.2 x 4 = 19.2.
    assert [practice.topic for practice in chosen] == [Topic.ALTITUDE, Topic.TURN]


def test_past_three_times_the_tolerance_size_counts_no_more():
    assert found(Topic.TURN, 3.0).cost == found(Topic.TURN, 40.0).cost == 18.0


def test_one_slip_in_talking_is_nothing_to_practise():
    assert practices([found(Topic.REPORTS, 1.0)]) == ()
    assert WEIGHTS[Topic.REPORTS] < LEAST_COST


def test_no_more_than_three_things_and_each_says_why():
    chosen = practices([found(topic, 3.0, f"because of {topic}") for topic in Topic])

    assert len(chosen) == MOST == 3
    assert all(practice.because == f"because of {practice.topic}" and practice.text for practice in chosen)


def test_below_a_floor_weighs_most_and_talking_least():
    assert max(WEIGHTS.values()) == WEIGHTS[Topic.FLOOR] == WEIGHTS[Topic.MINIMUM]
    assert min(WEIGHTS, key=WEIGHTS.get) is Topic.REPORTS
    assert set(WEIGHTS) == set(Topic)
