"""The recipe of DEVELOPERS.md for a language, followed in a copy of the project."""

from __future__ import annotations

from pathlib import Path

from babel.messages.pofile import read_po, write_po

from commands import PAGES
from language_builder import longer
from recipe import Copy

TAG = "nl"


def test_a_language_is_a_line_and_its_own_folders(tmp_path: Path) -> None:
    """A language that nobody speaks, under the tag of one that we do not ship."""
    copy = Copy(tmp_path)
    copy.replace("sitegen/model/languages.py", 'ENGLISH, "es")', f'ENGLISH, "es", "{TAG}")')
    po = copy.root / "sitegen/locale" / TAG / "LC_MESSAGES/messages.po"
    po.parent.mkdir(parents=True)
    with (copy.root / "sitegen/locale/messages.pot").open("rb") as held:
        catalog = read_po(held, locale=TAG)
    for message in catalog:
        if isinstance(message.id, tuple):
            message.string = tuple(map(longer, message.id))
        elif message.id:
            message.string = longer(message.id)
    with po.open("wb") as held:
        write_po(held, catalog, width=0, include_lineno=False)
    page = (copy.root / "sitegen/library/drills/ankle-rock.md").read_text(encoding="utf-8")
    own = page.replace("title: Ankle rock", "title: Enkels los")
    copy.write(f"sitegen/library/drills/{TAG}/ankle-rock.md", own)
    by_hand = copy.touched()

    for tool in ("tools/catalogue", "tools/cldr-words"):
        made = copy.run(tool)
        assert made.returncode == 0, made.stdout + made.stderr

    client = (copy.root / "clients/nia.yaml").read_text(encoding="utf-8")
    copy.write("clients/nia.yaml", f"{client}language: {TAG}\nprivacy: open\n")
    built = copy.run("-m", "sitegen", "build", "--as-of", "2027-03-18", "nia")
    assert built.returncode == 0, built.stderr
    (portal,) = (p for p in (copy.root / "public").glob(PAGES))
    document = portal.read_text(encoding="utf-8")
    assert f'lang="{TAG}"' in document
    assert longer("Check-in") in document
    assert "Enkels los" in document
    assert "donderdag" in document or "maandag" in document  # names of days come from CLDR
    assert by_hand == [
        f"sitegen/library/drills/{TAG}/ankle-rock.md",
        f"sitegen/locale/{TAG}/LC_MESSAGES/messages.po",
        "sitegen/model/languages.py",
    ]
