"""A caution's text is below its own title."""

import typst

from trimscribe.typeset.text import seen_in

PAGE = '#set document(title: "T")\n*{}.* Check the brakes.\n\n*{}.* Fly far from others.'
WANTED = ("Check the brakes.", "Fly far from others.")
TITLES = dict(zip(WANTED, ("Brakes", "Room"), strict=True))


def unseen(*titles: str) -> list[tuple[str, str]]:
    data = typst.compile(PAGE.format(*titles).encode())
    return [(one.text, one.why) for one in seen_in(data, WANTED, titles=TITLES).unseen]


def test_titles_over_their_own_texts_are_let_through() -> None:
    assert unseen("Brakes", "Room") == []


def test_titles_over_each_other_s_texts_are_found() -> None:
    assert unseen("Room", "Brakes") == [(text, "it does not follow its title") for text in WANTED]
