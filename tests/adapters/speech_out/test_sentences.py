"""A callout's sound is put together of sentences that were made before, or now, once."""

import pytest
from tone_voice import ToneRenderer

from assistant.adapters.speech_out.cache import SoundCache, size
from assistant.adapters.speech_out.errors import VoiceUnavailable
from assistant.adapters.speech_out.sentences import Sentences


@pytest.fixture
def renderer():
    return ToneRenderer()


@pytest.fixture
def sentences(tmp_path, renderer):
    made = Sentences(renderer, SoundCache(tmp_path, renderer.key))
    yield made
    made.close()


def test_each_sentence_is_rendered_once_whatever_callouts_it_is_in(sentences, renderer):
    sentences.sound_of("Lead radial. Turn right.")
    sentences.sound_of("Turn right. Climb.")

    assert renderer.rendered == ["Lead radial.", "Turn right.", "Climb."]


def test_what_was_prepared_needs_no_rendering_at_its_moment(sentences, renderer):
    sentences.prepare(["Lead radial.", "Turn right."])
    sentences.wait_prepared()
    renderer.rendered.clear()

    assert sentences.sound_of("Lead radial. Turn right.").duration_s > 1.0
    assert renderer.rendered == []


def test_another_run_finds_what_this_one_made(tmp_path, sentences):
    sentences.prepare(["Lead radial."])
    sentences.wait_prepared()
    second = ToneRenderer()

    later = Sentences(second, SoundCache(tmp_path, second.key))
    later.prepare(["Lead radial."])
    later.sound_of("Lead radial.")

    assert second.rendered == []


def test_a_renderer_that_fails_is_told_of_where_a_sound_is_waited_for(sentences, renderer):
    renderer.failing = True
    sentences.prepare(["Lead radial."])

    with pytest.raises(VoiceUnavailable, match="No voice today"):
        sentences.wait_prepared()

    with pytest.raises(VoiceUnavailable, match="No voice today"):
        sentences.sound_of("Lead radial.")


def test_closing_ends_the_renderer(tmp_path, renderer):
    Sentences(renderer, SoundCache(tmp_path, renderer.key)).close()

    assert renderer.closed


def test_after_a_flight_its_sounds_take_no_more_than_the_bound_and_the_last_made_stay(tmp_path, renderer):
    unbounded = SoundCache(tmp_path, renderer.key)
    unbounded.keep("Lead radial.", renderer.render("Lead radial."))
    each = size(tmp_path).size_bytes
    cache = SoundCache(tmp_path, renderer.key, largest_bytes=3 * each + each // 2)
    flight = Sentences(renderer, cache)
    flight.prepare([f"Sentence {number}." for number in range(8)])
    flight.wait_prepared()

    flight.close()

    assert size(tmp_path).size_bytes <= 3 * each + each // 2
    assert 3 <= size(tmp_path).sounds <= 4  # evened, a sound is a little smaller
    assert not cache.has("Lead radial.")


def test_the_memory_holds_no_more_sounds_than_its_bound(tmp_path, renderer, monkeypatch):
    """What has left it is found on disk, and not rendered again."""
    monkeypatch.setattr("assistant.adapters.speech_out.sentences._IN_MEMORY", 2)
    cache = SoundCache(tmp_path, renderer.key)
    sentences = Sentences(renderer, cache)
    for sentence in ("One.", "Two.", "Three."):
        sentences.sound_of(sentence)
    for path in tmp_path.iterdir():
        path.unlink()

    sentences.sound_of("Two. Three.")
    assert renderer.rendered == ["One.", "Two.", "Three."]
    sentences.sound_of("One.")
    assert renderer.rendered == ["One.", "Two.", "Three.", "One."]
    sentences.close()


def test_a_heading_alone_is_rendered_with_pauses_and_found_by_its_own_words(sentences, renderer):
    sentences.sound_of("Heading zero niner zero.")
    sentences.sound_of("BESKA. Heading zero niner zero.")

    assert renderer.rendered == ["Heading: zero, niner, zero.", "BESKA."]
