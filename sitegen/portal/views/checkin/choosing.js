/* A run's own file chosen in the check-in: shows what it tells, fills the form, and lets it go. The
   form's own script hears of it as of any typing. */
"use strict";

(function (world) {
  const parts = (world.portalParts = world.portalParts || {});
  const { addDays, dayName, fill } = parts.text;
  const { readRunFile, round } = parts.runFile;
  const DAYS = 28; // as long as a check-in is kept; no source
  const METRES = { km: 1000, mi: 1609.344 };
  const EXTRA = "extra"; // the session of a run that wasn't planned

  const two = (number) => String(number).padStart(2, "0");

  /* The device's own clock at an instant. */
  function localClock(ms) {
    const date = new Date(ms);
    return date.getFullYear() + "-" + two(date.getMonth() + 1) + "-" + two(date.getDate()) + "T"
      + two(date.getHours()) + ":" + two(date.getMinutes()) + ":" + two(date.getSeconds());
  }

  const clockOf = (seconds) => Math.floor(seconds / 60) + ":" + two(seconds % 60);
  const minutesOf = (seconds) => Math.max(1, round(seconds / 60));

  function getLater(root, portal) {
    const view = root.querySelector("[data-checkin]");
    const box = view.querySelector("[data-c-file]");
    const input = box.querySelector("input");
    const told = box.querySelector("[data-c-told]");
    const pick = box.querySelector("select");
    const form = view.querySelector("[data-c-form]");
    const session = view.querySelector("[data-c-session]");
    const words = world.portalWords.runFile;
    const { units, language } = portal.data;
    const sessions = [].concat(...portal.data.weeks.map((week) => week.sessions));
    let runs = [];
    let asked = 0; // of several files chosen quickly the last one counts

    function sentence(group, one) {
      const pace = one.pace === undefined ? {} : { pace: clockOf(one.pace) };
      return fill(words[group][one.code], Object.assign({}, one, pace));
    }

    const page = (name, values) => fill(words.page[name], values || {});

    /* `numbers` stand out; what there is to know about them comes below. */
    function show(lines, numbers) {
      const tell = (name, text, kind) => {
        const found = Object.assign(world.document.createElement(name), { textContent: text });
        if (kind) found.className = kind;
        return found;
      };
      told.replaceChildren(
        ...(numbers || []).map((text) => tell("strong", text)).flatMap((one) => [one, tell("br", "")]),
        ...lines.filter(Boolean).map((text) => tell("p", text, "c-note")));
    }

    function whenOf(run) {
      if (!run.start) return "";
      const day = dayName(run.start.slice(0, 10), language);
      return run.start.length > 10 ? page("day", { day, clock: run.start.slice(11, 16) }) : day;
    }

    function numbersOf(run) {
      const minutes = { moving: minutesOf(run.moving_s), elapsed: minutesOf(run.elapsed_s) };
      const far = run.metres / METRES[units];
      return [
        [whenOf(run), page("numbers", minutes)].filter(Boolean).join(": "),
        run.metres ? page("way", {
          km: far.toLocaleString(language, { maximumFractionDigits: 2 }), unit: units,
          pace: clockOf(round(run.moving_s / far)),
        }) : "",
        run.spm ? page("rate", { spm: run.spm }) : "",
      ].filter(Boolean);
    }

    function notesOn(run) {
      return [
        run.steps === "none" ? "" : fill(words.steps[run.steps], { raw: run.steps_raw }),
        ...run.notes.map((note) => sentence("notes", note)),
      ];
    }

    /* The session of that day that a run belongs to: the one that is open, one not told, an unplanned one. */
    function sessionFor(day) {
      const those = sessions.filter((one) => one.on === day && one.run_minutes > 0);
      const open = those.find((one) => one.id === session.value);
      const tellable = (one) => [...session.options].some((option) => option.value === one.id);
      const free = parts.checkin.toldHere(portal);
      return (open || those.find((one) => tellable(one) && !free.has(one.id)) || { id: EXTRA }).id;
    }

    function set(name, value) {
      const field = form.elements[name];
      if (field instanceof world.RadioNodeList) {
        for (const one of field) one.checked = one.value === value;
      } else field.value = value;
    }

    /* The minutes of running, or null where walking in between can't be told from it. */
    function ranOf(run, one) {
      if (run.running_s !== null) return minutesOf(run.running_s);
      const walks = one && one.parts.some(([kind]) => kind === "walk");
      return walks ? null : minutesOf(run.moving_s);
    }

    function aboutRan(run, ran) {
      if (ran === null) return page("walks");
      return run.running_s === null ? page("warm") : page("running", { minutes: ran });
    }

    function fillIn(run) {
      const day = run.start ? run.start.slice(0, 10) : "";
      const key = day ? sessionFor(day) : session.value;
      if (key !== session.value) {
        session.value = key;
        session.dispatchEvent(new Event("change", { bubbles: true }));
      }
      const one = sessions.find((other) => other.id === key);
      const ran = ranOf(run, one);
      if (key === EXTRA && day) set("on", day);
      if (one && ran !== null) {
        const planned = round(one.run_minutes);
        set("did", ran === planned ? "told" : ran < planned ? "shorter" : "longer");
      }
      if (ran !== null) set("ran", String(ran));
      set("distance", run.metres ? String(round(run.metres / METRES[units] * 100) / 100) : "");
      set("cadence", run.spm ? String(run.spm) : "");
      if (run.metres || run.spm) view.querySelector("[data-c-more]").open = true;
      form.dispatchEvent(new Event("input", { bubbles: true }));
      const name = session.selectedOptions[0].textContent;
      return [aboutRan(run, ran), page("filled", { session: name })];
    }

    function take(run) {
      const today = portal.today();
      const day = run.start ? run.start.slice(0, 10) : today;
      const far = day > today || day < addDays(today, -DAYS);
      const lines = notesOn(run);
      if (run.asks) lines.push(sentence("asks", run.asks));
      else if (far) lines.push(page("far", { date: day }));
      else lines.push(...fillIn(run));
      show([...lines, page("gone")], numbersOf(run));
    }

    function choose() {
      pick.replaceChildren(...runs.map((run, at) => {
        const text = [whenOf(run), page("numbers",
          { moving: minutesOf(run.moving_s), elapsed: minutesOf(run.elapsed_s) })].join(": ");
        return Object.assign(world.document.createElement("option"), { value: String(at), textContent: text });
      }).reverse());
      pick.prepend(Object.assign(world.document.createElement("option"), { value: "", textContent: "–" }));
      pick.value = "";
      show([page("choose"), page("gone")]);
    }

    async function read(file) {
      asked += 1;
      const mine = asked;
      pick.parentElement.hidden = true;
      show([page("reading")]);
      let found;
      try {
        found = await readRunFile(file.size, (from, to) => file.slice(from, to).arrayBuffer(), localClock);
      } catch (error) {
        if (!(error instanceof world.DOMException)) throw error; // the file went, or may not be read
        found = { wrong: { code: "unreadable" } };
      }
      if (mine !== asked) return;
      runs = found.runs || [];
      pick.parentElement.hidden = runs.length < 2;
      if (found.wrong) show([sentence("wrong", found.wrong)]);
      else if (runs.length > 1) choose();
      else take(runs[0]);
    }

    // What happens in this box is no answer of the form's.
    for (const kind of ["input", "change"]) {
      box.addEventListener(kind, (event) => event.stopPropagation());
    }
    input.addEventListener("change", () => {
      const [file] = input.files;
      input.value = "";
      if (file) read(file);
    });
    pick.addEventListener("change", () => {
      if (pick.value) take(runs[Number(pick.value)]);
    });
    box.hidden = false;
  }

  Object.assign(parts.views.checkin, { getLater });
})(typeof self === "undefined" ? globalThis : self);
