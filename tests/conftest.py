"""Options of the whole suite."""


def pytest_addoption(parser):
    parser.addoption(
        "--accept-golden",
        action="store_true",
        help="rewrite tests/golden/*.txt with what comes out now; review the diff like code",
    )
