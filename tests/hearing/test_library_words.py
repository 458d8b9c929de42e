"""Words have the pronunciations that the library's own dictionary gives them."""

import pocketsphinx

from assistant.adapters.speech_in.library_words import library_pronunciations


def test_words_are_pronounced_as_by_the_library_that_loaded_its_whole_dictionary():
    theirs = pocketsphinx.Decoder(lm=None, logfn="/dev/null", loglevel="FATAL")
    found = library_pronunciations(frozenset({"zero", "decimal", "read", "thousand"}))

    for word, (usual, *others) in found.items():
        assert theirs.lookup_word(word) == usual
        for number, other in enumerate(others, start=2):
            assert theirs.lookup_word(f"{word}({number})") == other
    assert len(found["zero"]) == 2
    assert len(found["read"]) == 2


def test_a_word_that_it_lacks_has_none_also_when_asked_again():
    for _ in range(2):
        assert library_pronunciations(frozenset({"quorv", "one"}))["quorv"] == ()
