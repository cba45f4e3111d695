"""The portal as text: what stands in it, what can't get in, and the same again for the same."""

from __future__ import annotations

import hashlib
import json
import re
import subprocess
from dataclasses import replace
from datetime import date, time
from html.parser import HTMLParser
from pathlib import Path

import pytest

from portal_builder import (
    CLIENT,
    LOG,
    LOOK,
    PORTAL,
    make_case,
    make_drills,
    make_plan,
    make_renderer,
    read_templates,
    with_practice,
)
from sitegen.care import sentences
from sitegen.model.case import Case, Origins
from sitegen.model.colour import GROUND_DARK, GROUND_LIGHT, contrast
from sitegen.model.plan import Decision, Part, Plan, Status
from sitegen.model.problem import Origin
from sitegen.model.sentence import say
from sitegen.model.values import Distance, Pace
from sitegen.portal.folding import FoldedLines
from sitegen.portal.page import Look, Renderer, accent_css, assets
from sitegen.portal.reasons import deciding_first
from sitegen.portal.scene import Scene
from sitegen.portal.session import part_line, turns
from sitegen.portal.shrink import content_hash, outdated, short, shrunk
from sitegen.portal.views.weeks import bars, told_of_week
from sitegen.portal.words import EFFORT_WORDS, Words

NBSP = "\N{NO-BREAK SPACE}"
ROOT = Path(__file__).resolve().parents[1]
TERSER = ROOT / "node_modules" / "terser"
VOID = {"area", "br", "col", "hr", "img", "input", "link", "meta", "rect", "path", "circle"}


def test_a_folded_text_names_its_lines_and_each_line_is_kept_once():
    lines = FoldedLines()

    assert lines.fold("one\n\ntwo\none") == "\u0100\u0101\u0102\u0100"
    assert lines.fold("two\n" + "\n".join(map(str, range(0xD6FF)))).endswith("\ud7ff\ue000\ue001")
    assert lines.text.split("\n")[:4] == ["one", "", "two", "0"]


def test_an_event_has_neither_a_beat_to_hold_nor_a_drill_to_think_of():
    """ "Headphones out" stood at a marathon, and the beat of an easy run."""
    plan = make_plan()
    first = plan.weeks[0]
    runs = [s for s in first.sessions if s.kind == "long"]
    event = runs[0]._replace(kind="event", drills=(), effort_low=4, effort_high=5)
    week = first._replace(sessions=(event,))
    text = document(plan=plan._replace(weeks=(week,)))

    assert "Your event" in text and "short sentence" in text
    assert '<div class="spm">' not in text and '<div class="cue">' not in text
    usual = document(plan=plan._replace(weeks=(first,)))
    assert '<div class="spm">' in usual and '<div class="cue">' in usual


@pytest.mark.parametrize(("minutes", "found"), [(60, False), (89, False), (90, True), (165, True)])
def test_a_run_of_an_hour_and_a_half_says_what_to_take_along(minutes: int, found: bool):
    """Runs of 2 h 45 min before a marathon said nothing of water or food; short ones need none."""
    plan = make_plan()
    (run,) = (s for s in plan.weeks[0].sessions if s.kind == "long")
    far = run._replace(parts=(Part("run", minutes),))
    week = plan.weeks[0]._replace(sessions=(far,))

    assert ("Pack water" in document(plan=plan._replace(weeks=(week,)))) == found


def test_of_a_week_s_reasons_the_one_that_decides_its_minutes_is_the_first():
    """Now says the first: "room for 10 min, as a first step" stood there for five weeks that a
    question to the coach held."""
    room = Decision("volume", say("Room for 10 min."), before=0.0, after=10.0)
    asks = Decision("asks", say("Your coach has a question."), before=10.0, after=10.0)
    other = Decision("spacing", say("A day without."))

    assert deciding_first("hold", [room, other, asks]) == [asks, room, other]
    assert deciding_first("build", [room, other]) == [room, other]
    assert deciding_first("build", [other]) == [other]


class Reader(HTMLParser):
    """Tags with their attributes, ids, and the text that can be read."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.words: list[str] = []
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, dict(attrs)))

    def handle_data(self, data: str) -> None:
        self.words.append(data)

    def all(self, tag: str) -> list[dict[str, str | None]]:
        return [attrs for name, attrs in self.tags if name == tag]

    @property
    def ids(self) -> list[str]:
        return [a["id"] for _, a in self.tags if a.get("id")]  # type: ignore[misc]


def document(case: Case | None = None, plan: Plan | None = None, **more: object) -> str:
    given = {"feed_url": "https://plans.example.org/feeds/x.ics", "code": "K7Q2"} | more
    return make_renderer().document(
        case or make_case(),
        plan or make_plan(),
        make_drills(),
        **given,  # type: ignore[arg-type]
    )


def page(content: str | None = "<p>x</p>", sealed: str | None = None, look: Look = LOOK) -> str:
    return make_renderer().page(
        content=content, sealed=sealed, language="en", portal=PORTAL, look=look
    )


def data_of(text: str) -> dict[str, object]:
    found = re.search(r'id="portal-data">(.*?)</script>', text)
    assert found
    return json.loads(found[1])


# What stands in it


def test_all_eight_views_stand_in_the_document_in_order():
    read = Reader(document())

    views = [a["id"] for a in read.all("section") if a.get("class") == "view"]
    assert views == [
        "now", "weeks", "beat", "checkin", "drills", "cadence", "calendar", "care",
    ]  # fmt: skip


def test_every_session_is_in_the_document_once_with_its_day():
    read, plan = Reader(document()), make_plan()

    drawn = {a["data-session"]: a["data-on"] for a in read.all("article") if "data-session" in a}
    assert drawn == {s.id: s.on.isoformat() for s in plan.sessions}


def test_no_id_is_given_twice_and_every_inner_link_leads_somewhere():
    read = Reader(document())

    assert len(read.ids) == len(set(read.ids))
    targets = {a["href"] for a in read.all("a") if (a.get("href") or "").startswith("#")}
    for target in targets:
        name, _, inner = str(target)[1:].partition("/")
        assert (f"{name}-{inner}" if inner else name) in read.ids, target


def test_every_decision_is_told_with_its_source():
    text = " ".join(Reader(document()).words)

    assert "Your knee spoke up at 3 of 10 on Sun 7 Feb" in text
    assert "The evidence behind this is weak." in text
    assert "Silbernagel et al. 2007" in text


def test_the_calendar_view_is_left_out_where_the_feed_is_off():
    read = Reader(document(feed_url=None))

    assert "calendar" not in read.ids
    assert "#calendar" not in {a.get("href") for a in read.all("a")}


def test_a_stopped_client_is_offered_no_beat_and_is_given_the_number():
    case = make_case(log=[*LOG, {"on": "2027-02-12", "signs": ["chest_pain"]}])
    read = Reader(document(case, make_plan(status="referred", weeks=())))

    assert "beat" not in read.ids
    assert "Stop running. See a clinician today." in read.words
    assert {a.get("href") for a in read.all("a")} >= {"tel:112"}


STOPPED = [*LOG, {"on": "2027-02-12", "ran": "10 min", "signs": ["calf_swelling"]}]


def test_a_stop_is_told_at_the_top_of_weeks_and_nothing_is_offered_to_run():
    text = document(make_case(log=STOPPED), make_plan(status="referred"))
    weeks = text[text.index('id="weeks"') : text.index('id="checkin"')]
    sunday = weeks[weeks.index('id="weeks-s-w4d6"') :].partition("</article>")[0]
    tuesday = weeks[weeks.index('id="weeks-s-w4d1"') :].partition("</article>")[0]

    assert weeks.index("Stop running. See a clinician today.") < weeks.index('class="plan"')
    assert "tel:112" in weeks
    assert "Not now: your plan is stopped." in sunday and "Effort" not in sunday
    assert "Not now" not in tuesday  # done before the stop
    assert "10 min, a calf swollen or hot on one side" in weeks.replace(NBSP, " ")
    assert 'id="beat"' not in text
    assert "Harbour Ten, 10" in weeks and "While the plan waits, do not start there" in weeks
    assert "do not start there" not in document(make_case(), make_plan())


def test_a_sign_that_pauses_is_not_told_as_the_coachs_pause():
    why = Decision("signs", say("Paused: a limp was logged."), warns=True)
    plan = make_plan(status="paused", decisions=(why,))
    text = document(make_case(log=[*LOG, {"on": "2027-02-12", "signs": ["limp"]}]), plan)

    # Now, Weeks, a line in three other views, and what the device keeps ready.
    assert text.count("Stop running. See a clinician today.") == 6
    assert "When you are ready to go on" not in text
    assert "When you are ready to go on" in document(plan=make_plan(status="paused"))


@pytest.mark.parametrize("line", sentences.RESTS.values())
def test_who_rests_after_pain_is_sent_to_nobody_whatever_is_told_of_it(line: str):
    why = Decision("pain", say(line, score=6), warns=True)
    text = document(plan=make_plan(status="paused", decisions=(why,), weeks=()))

    assert text.count("Stop running. See a clinician today.") == 1  # what the device keeps ready
    assert "Two days without running" in text


def test_each_view_says_that_the_plan_is_stopped_and_leads_to_what_to_do():
    case = make_case(log=[*LOG, {"on": "2027-02-12", "signs": ["limp"]}])
    text = document(case, make_plan(status="referred", weeks=()))
    stops = [view.partition("</h2>")[2] for view in text.split('<section class="view"')[1:]]
    shown = [view for view in stops if "Stop running. See a clinician today." in view]

    assert len(shown) == len(stops) - 1  # Care has the number and the signs of its own
    assert sum('href="#now">What to do' in view for view in stops) == len(stops) - 3


def test_who_told_that_an_illness_is_over_is_not_asked_to_tell_it():
    asks = "send a check-in when it is over"

    def stopped(line: str) -> str:
        why = Decision("illness", say(line), warns=True)
        return document(plan=make_plan(status="paused", decisions=(why,), weeks=()))

    over, ill = stopped(sentences.LINE_ILL_OVER), stopped(sentences.LINE_ILL)
    # Now, Weeks, a line in three other views, and what the device keeps ready: that asks, too.
    assert over.count("One more day of rest</p>") == 6
    assert (over.count(asks), ill.count(asks)) == (1, 3)


@pytest.mark.parametrize(("rule", "status"), [
    ("signs", "active"), ("screening", "referred"), ("pain", "referred"), ("pain", "paused"),
])  # fmt: skip
def test_a_stop_carries_no_mark_of_weak_evidence(rule: str, status: Status):
    renderer = Renderer(read_templates(), dict.fromkeys(("signs", "screening", "pain"), "weak"))
    why = Decision(rule, say("Do not run."), warns=True)
    text = renderer.document(
        make_case(), make_plan(status=status, decisions=(why,), weeks=()), make_drills(),
        feed_url=None, code="K7Q2",
    )  # fmt: skip

    assert "Do not run." in text
    assert "The evidence behind this is weak." not in text


def test_what_only_warns_the_coach_is_not_told_to_the_client():
    plan = make_plan()
    warned = Decision(
        "changes", say("That is more than growth allows."), source="A study", warns=True
    )
    week = plan.weeks[3]._replace(decisions=(*plan.weeks[3].decisions, warned))
    text = document(plan=plan._replace(weeks=(*plan.weeks[:3], week, *plan.weeks[4:])))

    assert "That is more than growth allows." not in text
    assert "A study" not in text
    assert "Your knee spoke up" in text  # a warning of the rule about pain is the client's


def test_this_weeks_count_of_held_step_rates_takes_in_the_check_ins_since_its_monday():
    plan = make_plan()
    counted = Decision("cadence", say("Held in {within} of {count}.", within=0, count=9))
    weeks = tuple(w._replace(decisions=(counted,)) for w in plan.weeks)
    text = document(plan=plan._replace(weeks=weeks))

    # The last four: 161, 164, 163, 168 against 162 in a band of 158 to 166, and a step of 4.
    assert text.count("Held in 3 of 4.") == 1
    assert text.count("Held in 0 of 9.") == len(weeks) - 1


def test_a_week_without_running_says_nothing_of_its_longest_run_nor_of_a_beat():
    """ "0 min of running, 0 min in the longest run. Beat 177; 172 to 182 is on it.": 64 of 79
    pages of drawn lives had such a line."""
    plan = make_plan()
    strength = tuple(s for s in plan.weeks[0].sessions if not s.is_run)
    weeks = (plan.weeks[0]._replace(sessions=strength), *plan.weeks[1:])
    text = document(plan=plan._replace(weeks=weeks))

    assert strength
    assert text.count("in the longest run.") == len(weeks) - 1


@pytest.mark.parametrize(
    ("second", "says"), [("ran: 30 min", "2 runs, 54 min"), ("distance: 5 km", "2 runs")]
)
def test_minutes_of_a_week_are_those_of_all_its_runs_or_none(second: str, says: str):
    """Of a run in minutes and one in kilometres alone "2 runs, 24 min" was said."""
    name, value = second.split(": ")
    entries = [{"on": "2027-01-19", "ran": "24 min"}, {"on": "2027-01-21", name: value}]
    case = make_case(entries)

    assert told_of_week(case.log, Words()).felt.replace(NBSP, " ") == says


def test_what_a_check_in_changed_names_its_day_and_a_week_that_went_well_does_not():
    """ "You told, and this changed", for pain; growth after a good week is no news."""
    case = make_case()
    told = Origin("mara.log.yaml", 3, 3)
    case = replace(case, log_origins=Origins(told.file, values={(0,): (told.line, told.column)}))
    plan = make_plan()
    pain = Decision("pain", say("The plan goes back a step."), because=told)
    grown = Decision("volume", say("Room for more."), because=told)
    weeks = (plan.weeks[0]._replace(decisions=(pain, grown)), *plan.weeks[1:])
    text = " ".join(Reader(document(case, plan._replace(weeks=weeks))).words)

    assert text.count("You told on Tue 19 Jan") == 1
    assert text.index("You told on") < text.index("The plan goes back a step.")


def test_a_hot_swollen_calf_is_a_matter_for_today_and_not_for_an_ambulance():
    care = document().partition('id="care"')[2]

    assert care.index("calf") > care.index("Stop, and see a clinician today")


def test_without_a_number_the_client_is_told_to_call_the_local_one():
    case = with_practice(make_case(), emergency=None)

    assert "your local emergency number" in " ".join(Reader(document(case)).words)


def test_who_has_all_of_the_host_is_warned_of_no_neighbours():
    def warned(**practice: str) -> bool:
        case = with_practice(make_case(), **practice)
        document = make_renderer().document(
            case, make_plan(), make_drills(), feed_url=None, code="K7Q2"
        )
        return 'data-host="shared"' in document

    assert warned() and warned(own_host="no")
    assert not warned(own_host="yes")


def test_the_data_block_tells_the_scripts_what_the_plan_says():
    data = data_of(document())

    assert data["code"] == "K7Q2"
    assert data["coach"] == {
        "name": "Ines Carvalho", "contact": "ines@example.org", "href": "mailto:ines@example.org",
    }  # fmt: skip
    week = data["weeks"][2]  # type: ignore[index]
    assert week["cadence_spm"] == [158, 162, 166]
    assert week["sessions"][0]["parts"] == [
        ["warm_up", 5, 1, None], ["beat", 1, 4, 162], ["run", 5.0, 4, None],
        ["cool_down", 4, 1, None],
    ]  # fmt: skip


def test_the_cadence_page_never_promises_and_gives_both_of_the_studys_numbers():
    """Willson et al. 2014: -22.2 % per step, -7.5 % over the distance; Anderson et al. 2022."""
    text = " ".join(Reader(document()).words)

    assert f"22.2{NBSP}% lower with each step and 7.5{NBSP}% lower over each kilometre" in text
    assert "not shown to prevent injury" in text


def test_the_cadence_page_tells_the_clients_own_steps_now_and_at_the_aim():
    """At 6:45 a kilometre, 158 spm now and 166 in the end; worked out by hand.

    A kilometre takes 6.75 min: 6.75 x 158 = 1066 steps of 1000 / 1066.5 = 0.94 m, then 1120 of
    0.89 m, which is 1 - 158 / 166 = 4.8 % shorter.
    """
    text = " ".join(" ".join(Reader(document()).words).split())

    assert "length of a step 94 cm → to 89 cm" in text
    assert "steps in each kilometre 1070 → to 1120" in text
    assert "each step gets 4.8 % shorter" in text


@pytest.mark.parametrize("baseline", ["158 spm", "164 spm"])
def test_what_the_study_measured_is_never_scaled_to_the_clients_step(baseline: str):
    """It measured steps a tenth shorter, and the page gives that, whatever the client's change."""
    own = make_case(baseline=CLIENT["baseline"] | {"cadence": baseline})
    text = " ".join(Reader(document(own)).words)

    assert "ran with steps a tenth shorter" in text
    assert f"22.2{NBSP}% lower with each step and 7.5{NBSP}% lower over each kilometre" in text
    assert re.search(r"Your own steps get \d\.\d.% shorter, so the study's numbers", text)


def test_miles_are_used_throughout_for_a_client_who_wants_them():
    text = " ".join(Reader(document(make_case(units="mi"))).words)

    assert f"6.2{NBSP}mi" in text
    assert "over each mile" in text
    assert "/km" not in text and "over each kilometre" not in text


def test_the_same_client_gives_the_same_bytes():
    assert document() == document()
    assert page() == page()


# What can't get in

ATTACK = "</script><img src=x onerror=alert(1)>'\"><b onclick=alert(2)>"


def test_markup_in_a_name_a_note_or_a_check_in_is_shown_and_not_run():
    case = make_case(
        log=[{"on": "2027-01-19", "ran": "20 min", "cadence": "160 spm", "said": ATTACK,
              "pain": {"during": "1", "site": ATTACK}}],
        name=ATTACK, called=ATTACK, goal={"text": ATTACK},
        notes=[{"week": "1", "text": f"{ATTACK}\n\n[x](javascript:alert(1)) ![y](https://e.org/z)"}],
    )  # fmt: skip
    case = with_practice(case, name=ATTACK, coach=ATTACK, emergency=ATTACK)
    read = Reader(document(case))

    assert not read.all("img")
    assert not [a for _, a in read.tags if any(n.startswith("on") for n in a)]
    assert not [a for a in read.all("a") if (a.get("href") or "").startswith("javascript:")]
    assert len(read.all("script")) == 1
    assert data_of(document(case))["called"] == ATTACK


def test_a_session_id_with_markup_stays_an_attribute():
    plan = make_plan()
    week = plan.weeks[0]
    odd = week.sessions[0]._replace(id='"><script>x')
    plan = plan._replace(weeks=(week._replace(sessions=(odd,)),))

    assert len(Reader(document(plan=plan)).all("script")) == 1


def test_a_link_in_a_note_tells_nobody_where_it_came_from():
    links = [a for a in Reader(document()).all("a") if a.get("href") == "https://example.org/loop"]

    assert [a["rel"] for a in links] == ["noreferrer"]


def test_a_coachs_own_drawing_is_a_picture_in_which_nothing_can_run():
    drill = make_drills()[0]._replace(own=True, figure="<svg onload='alert(1)'></svg>")
    text = make_renderer().document(make_case(), make_plan(), [drill], feed_url=None, code="")
    read = Reader(text)

    assert [str(a["src"])[:26] for a in read.all("img")] == ["data:image/svg+xml;base64,"]
    assert "onload" not in text


def test_no_style_and_no_script_stands_in_the_page_itself():
    for text in (page(document()), page(None, "AAAA"), make_renderer().front()):
        read = Reader(text)
        assert not read.all("style")
        assert not [a for _, a in read.tags if "style" in a]
        for script in read.all("script"):
            assert script.get("src") or script["type"] in ("application/json", "text/plain")


# The shell


def test_the_policy_allows_our_own_files_and_nothing_else():
    metas = Reader(page()).all("meta")
    policy = next(m["content"] for m in metas if m.get("http-equiv"))

    assert str(policy).split("; ") == [
        "default-src 'none'", "script-src 'self'", "style-src 'self'", "img-src 'self' data:",
        "connect-src 'self'", "manifest-src 'self'", "worker-src 'self'", "base-uri 'none'",
        "form-action 'none'", "require-trusted-types-for 'script'", "trusted-types portal",
    ]  # fmt: skip
    assert {"robots": "noindex, nofollow, noarchive", "referrer": "no-referrer"}.items() <= {
        m["name"]: m["content"] for m in metas if m.get("name")
    }.items()


def test_a_sealed_page_says_nothing_of_the_client():
    text = page(None, "QUJD")

    assert "Mara" not in text and "Harbour" not in text
    assert 'id="sealed" data-portal="AAECAwQFBgcICQoLDA0ODw">QUJD</script>' in text


def test_a_page_holds_exactly_one_of_the_two():
    for content, sealed in ((None, None), ("x", "QUJD")):
        with pytest.raises(ValueError, match="a document or a sealed document"):
            page(content, sealed)


def test_every_asset_of_a_page_is_among_the_assets_and_carries_its_hash():
    made = make_renderer().assets("#7a2a8a")
    read = Reader(page(None, "QUJD", Look(accent="#7a2a8a")))

    wanted = [a["href"] for a in read.all("link") if a["rel"] == "stylesheet"]
    wanted += [a["src"] for a in read.all("script") if a.get("src")]
    assert {str(w).removeprefix("../") for w in wanted} <= set(made)
    assert {"worker.js"} == {name for name in made if not name.startswith("assets/")}
    made.pop("worker.js")  # a browser looks at its one address for a newer one
    form = r"assets/[a-z0-9-]+\.([0-9a-f]{10})\.(css|js|png)"
    for name, content in made.items():
        found = re.fullmatch(form, name)
        assert found and found[1] == hashlib.sha256(content).hexdigest()[:10], name


def test_an_accent_is_the_last_word_of_the_one_style_sheet_which_the_front_loads_too():
    made = make_renderer().assets("#7a2a8a")
    [name] = [name for name in made if name.endswith(".css")]

    assert made[name].endswith(accent_css("#7a2a8a"))
    assert made[name] != make_renderer().assets("#0b5c8a").get(name)
    assert name in make_renderer().front("#7a2a8a")


def test_a_changed_style_sheet_gets_another_name():
    templates = read_templates()
    changed = templates | {"style/page.css": templates["style/page.css"] + "i { top: 0 }"}

    assert set(assets(templates)) != set(assets(changed))


def test_scripts_and_styles_travel_without_their_comments_but_keep_a_licence():
    script = "/*! (c) someone */\n/* why */\nconst a = `two  spaces // kept`; // how\n"
    style = "/*! (c) someone */\n/* why */\na { color: red; }\n"

    assert shrunk("x.js", script) == b"/*! (c) someone */const a=`two  spaces // kept`;"
    assert shrunk("x.css", style) == b"/*! (c) someone */a{color:red}"


def test_a_script_travels_in_its_short_form_unless_it_has_changed_since():
    now, before = "const a = 1; // now\n", "const a = 0;\n"
    forms = {"a.js": [content_hash(now.encode()), "let a=1"], "gone.js": ["", ""]}
    templates = {"a.js": now, "new.js": now, "scripts.json": json.dumps(forms)}

    assert [short(name, templates) for name in ("a.js", "new.js")] == ["let a=1", "const a=1;"]
    assert outdated(templates) == ("gone.js", "new.js")
    assert short("a.js", templates | {"a.js": before}) == "const a=0;"
    assert outdated(templates | {"a.js": before}) == ("a.js", "gone.js", "new.js")


@pytest.mark.skipif(not TERSER.is_dir(), reason="no terser in node_modules")
def test_the_short_forms_are_what_the_tool_makes_of_the_scripts(tmp_path: Path):
    run = ["node", str(ROOT / "tools" / "shorten.mjs"), str(tmp_path / "forms.json")]
    subprocess.run(run, check=True, timeout=120)

    made = json.loads((tmp_path / "forms.json").read_text(encoding="utf-8"))
    assert len(made) > 40
    assert made == json.loads(read_templates()["scripts.json"])
    assert "/*" not in "".join(made["door/seal.js"])


def test_the_page_names_what_it_holds_so_that_a_newer_one_is_told_apart():
    def built(content: str, version: str = "1") -> str:
        return str(Reader(page(content, None, Look(version=version))).all("html")[0]["data-built"])

    assert built("<p>x</p>") == built("<p>x</p>")
    assert len({built("<p>x</p>"), built("<p>y</p>"), built("<p>x</p>", "2")}) == 3


def test_an_open_page_does_not_load_what_only_a_sealed_one_needs():
    sources = [str(a.get("src")) for a in Reader(page()).all("script")]

    assert not [s for s in sources if "seal." in s or "door." in s]
    assert sources[-1].startswith("../assets/portal.")


@pytest.mark.parametrize("accent", ["#9c3d1e", "#0b5c8a", "#000", "#2f6b2f"])
def test_an_accent_is_readable_on_both_grounds(accent: str):
    """WCAG 2.2, success criterion 1.4.6: 7 : 1."""
    light, dark, paper = re.findall(r"--accent:(#[0-9a-f]+)", accent_css(accent).decode())

    assert contrast(light, GROUND_LIGHT) >= 7
    assert contrast(dark, GROUND_DARK) >= 7
    assert paper == light


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_the_sheets_own_colours_are_readable(scheme: str):
    """WCAG 2.2: text 7 : 1 (1.4.6), and 3 : 1 for lines that carry meaning (1.4.11)."""
    css = read_templates()["style/page.css"]
    blocks = re.findall(r":root \{(.*?)\}", css, re.S)
    colours = dict(
        re.findall(r"--([a-z-]+): (#[0-9a-f]{6})", blocks[0 if scheme == "light" else 1])
    )

    assert colours["ground"] == (GROUND_LIGHT if scheme == "light" else GROUND_DARK)
    for name in ("ink", "quiet", "accent"):
        assert contrast(colours[name], colours["ground"]) >= 7, name
    assert contrast(colours["line"], colours["ground"]) >= 3


# Words


def test_effort_words_are_those_of_the_scale_and_6_8_9_have_none():
    """Foster et al. 2001, after Borg's category-ratio scale."""
    assert set(range(11)) - set(EFFORT_WORDS) == {6, 8, 9}
    assert Words().effort(2, 3) == "easy to moderate"
    assert Words().effort(5, 6) == "hard"
    assert Words().effort(8, 9) == ""


def test_lengths_are_said_as_a_person_would():
    words = Words()

    assert [words.minutes(m) for m in (0.5, 1.5, 45)] == [
        f"30{NBSP}s", f"1{NBSP}min 30{NBSP}s", f"45{NBSP}min",
    ]  # fmt: skip


def test_numbers_follow_the_language():
    assert Words("es").number(7.5) == "7,5"
    assert Words("en").number(7.0) == "7"
    assert Words("es", "mi").distance(Distance(5000)) == f"3,1{NBSP}mi"
    assert Words("en", "mi").pace(Pace(405)) == "10:52 /mi"


def test_a_sentence_is_filled_in_after_it_is_translated():
    words = Words("es", gettext={"{minutes} min on {day}": "{day}: {minutes} min"}.get)  # type: ignore[arg-type]
    sentence = say("{minutes} min on {day}", minutes=7.5, day=time(18, 30))

    assert words.say(sentence) == f"18:30: 7,5{NBSP}min"


def test_what_was_said_is_kept_for_the_same_values_alone():
    asked: list[str] = []
    words = Words(gettext=lambda text: asked.append(text) or text)

    said = [words.say(say("{n} min", n=n)) for n in (7, 8, 7, 8)]

    assert said == [f"7{NBSP}min", f"8{NBSP}min"] * 2
    assert asked == ["{n} min"] * 2


def test_a_span_names_the_month_twice_only_where_it_must():
    assert Words().span(date(2027, 2, 8), 7) == "8 to 14 Feb"
    assert Words().span(date(2027, 3, 29), 7) == "29 Mar to 4 Apr"


def test_parts_done_in_turn_stand_together():
    parts = (Part("warm_up", 5), Part("run", 1, 6), Part("walk", 2, 6), Part("cool_down", 5))

    lines = [part_line(turn, Words()) for turn in turns(parts)]
    assert [(line.times, [p.what for p in line.pieces]) for line in lines] == [
        ("", [f"5{NBSP}min warm-up"]),
        ("6 times", [f"1{NBSP}min run", f"2{NBSP}min walk"]),
        ("", [f"5{NBSP}min cool-down"]),
    ]


def test_the_longest_week_fills_its_lane_and_others_are_in_proportion():
    full = bars([(20, False), (30, True)], 50)
    half = bars([(25, False)], 50)

    assert sum(b.width for b in full) == 100
    assert [b.hard for b in full] == [False, True]
    assert half[0].width == 50
    assert bars([(0, False)], 0) == ()


def test_a_check_in_belongs_to_the_week_it_falls_into():
    scene = Scene(make_case(), make_plan(), (), Words(), str, str)  # type: ignore[arg-type]

    assert scene.week_of("2027-01-17") is None
    found = [scene.week_of(day) for day in ("2027-01-18", "2027-01-24", "2027-01-25")]
    assert [week and week.number for week in found] == [1, 1, 2]


def test_no_style_leaves_a_space_before_a_colon_that_the_shrinking_takes_for_idle():
    """``[a] :is(b)`` would travel as ``[a]:is(b)``, which is another thing."""
    trap = "@container (width: 1px) { [a] :is(b) { c: d } }"
    assert b"[a]:is(b)" in shrunk("x.css", trap), "no trap any more: let the rule go"
    styles = {name: text for name, text in read_templates().items() if name.endswith(".css")}

    assert len(styles) > 5
    assert [name for name, text in styles.items() if re.search(r"[\])] :[a-z-]+[({ ]", text)] == []
